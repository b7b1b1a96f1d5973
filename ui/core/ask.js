// Questions to the server: JSON in, JSON out. A fault of the server becomes a Fault, with the remedy beside it.

export class Fault extends Error {
  constructor(status, fault) {
    super(fault.what ?? `The server answered ${status}`);
    this.status = status;
    this.remedy = fault.remedy ?? '';
    this.line = fault.line ?? 0;
    this.column = fault.column ?? 0;
    this.file = fault.file ?? '';
  }
}

const away = { what: 'Rundown does not answer', remedy: 'Is `rundown open` still running, and is this device on the same network?' };

async function faultOf(reply) {
  try {
    return new Fault(reply.status, (await reply.json()).fault ?? {});
  } catch {
    return new Fault(reply.status, {});
  }
}

async function send(method, path, { body, type, signal } = {}) {
  let reply;
  try {
    reply = await fetch(path, { method, body, signal, headers: type ? { 'Content-Type': type } : {}, credentials: 'same-origin' });
  } catch (cause) {
    if (cause.name === 'AbortError') throw cause;
    throw new Fault(0, away);
  }
  if (reply.ok) return reply;
  const fault = await faultOf(reply);
  if (fault.status === 401 && location.pathname !== '/pair') location.assign('/pair');
  throw fault;
}

const read = async (reply) => (reply.status === 204 || reply.headers.get('Content-Length') === '0' ? null : reply.json());

export const get = async (path, signal) => read(await send('GET', path, { signal }));
export const getText = async (path, signal) => (await send('GET', path, { signal })).text();
export const post = async (path, value = {}, signal) =>
  read(await send('POST', path, { body: JSON.stringify(value), type: 'application/json', signal }));
export const patch = async (path, value) =>
  read(await send('PATCH', path, { body: JSON.stringify(value), type: 'application/json' }));
export const remove = async (path, value = {}) =>
  read(await send('DELETE', path, { body: JSON.stringify(value), type: 'application/json' }));
// A text as it stands, or a file: PUT or POST.
export const give = async (method, path, body, type = 'text/plain; charset=utf-8', signal) =>
  read(await send(method, path, { body, type, signal }));
