// News from the server: one stream for the page, however many listen. The browser reconnects by itself and names the
// last event it has heard; `reload` says that some were missed: read everything afresh.

let source = null;
const listeners = new Map(); // topic -> Set of functions
const states = new Set();

function hear(topic) {
  source.addEventListener(topic, (event) => {
    const news = topic === 'reload' ? null : JSON.parse(event.data);
    for (const listener of [...(listeners.get(topic) ?? [])]) listener(news);
  });
}

function open() {
  source?.close();
  const topics = [...listeners.keys()].filter((topic) => topic !== 'reload');
  if (topics.length === 0) return;
  source = new EventSource(`/api/events?topics=${topics.join(',')}`);
  for (const topic of listeners.keys()) hear(topic);
  source.onopen = () => tell(true);
  source.onerror = () => tell(false);
}

function tell(connected) {
  for (const state of states) state(connected);
}

let due = false;
function openSoon() {
  if (due) return;
  due = true;
  queueMicrotask(() => { due = false; open(); });
}

// Calls `listener` with the data of each event of the topic ('book', 'live', 'call', 'task', 'reload') until the
// signal of the page is aborted.
export function listen(topic, listener, signal) {
  if (!listeners.has(topic)) {
    listeners.set(topic, new Set());
    openSoon();
  }
  listeners.get(topic).add(listener);
  signal?.addEventListener('abort', () => listeners.get(topic)?.delete(listener));
}

// Whether the stream stands, as it changes.
export function connection(state, signal) {
  states.add(state);
  signal?.addEventListener('abort', () => states.delete(state));
}

// A page that is left may be kept for the way back; its stream would hold one of the few connections that a browser
// opens to a server.
addEventListener('pagehide', () => source?.close());
addEventListener('pageshow', (event) => { if (event.persisted) open(); });
