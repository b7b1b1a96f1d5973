// Files, one after the other: dropped, chosen or pasted; sent to the server's spool, looked at, then stored or let go.
import { Fault, remove } from '../../core/ask.js';
import { fill, freshId, h } from '../../core/dom.js';
import { button, faultBox, progressLine } from '../../core/parts.js';
import { storedLine } from './keep.js';
import { preview } from './preview.js';

const largest = 2 * 1024 ** 3;

// XMLHttpRequest, since fetch does not say how much of a body has gone.
function send(file, progress, stop) {
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open('POST', `/api/drops?name=${encodeURIComponent(file.name)}`);
    request.setRequestHeader('Content-Type', 'application/octet-stream');
    request.responseType = 'json';
    request.upload.onprogress = (event) => progress(event.lengthComputable ? event.loaded / event.total : -1);
    request.onload = () => request.status < 300 ? resolve(request.response) : reject(new Fault(request.status, request.response?.fault ?? {}));
    request.onerror = () => reject(new Fault(0, { what: 'The file did not reach Rundown', remedy: 'Is `rundown open` still running? Files may have up to 2 GB' }));
    request.onabort = () => reject(new DOMException('stopped', 'AbortError'));
    stop.addEventListener('abort', () => request.abort());
    request.send(file);
  });
}

function dropArea(take) {
  const id = freshId('files');
  const input = h('input', { type: 'file', id, multiple: true, class: 'off-screen', onchange: () => { take([...input.files]); input.value = ''; } });
  const area = h('div', { class: 'drop-area' },
    h('p', {}, h('strong', {}, 'Drop logs here'), ', paste one, or '),
    h('p', {}, input, h('label', { class: 'button', for: id }, 'Choose files')),
    h('p', { class: 'soft' }, 'Delimited text from any instrument or program, up to 2 GB, or a file of typed readings. Nothing is stored until you say so.'));
  return area;
}

// The whole page takes what is dropped: who misses the area by a little has not left the page.
function hearDrops(area, take, signal) {
  const over = (event) => {
    if (![...event.dataTransfer?.types ?? []].includes('Files')) return;
    event.preventDefault();
    area.classList.add('over');
  };
  const off = () => area.classList.remove('over');
  document.addEventListener('dragover', over, { signal });
  document.addEventListener('dragleave', (event) => { if (event.relatedTarget === null) off(); }, { signal });
  document.addEventListener('drop', (event) => {
    off();
    if ((event.dataTransfer?.files.length ?? 0) === 0) return;
    event.preventDefault();
    take([...event.dataTransfer.files]);
  }, { signal });
  document.addEventListener('paste', (event) => {
    if (event.target.closest?.('input, textarea')) return;
    const files = [...event.clipboardData?.files ?? []];
    const text = event.clipboardData?.getData('text/plain') ?? '';
    if (files.length > 0) take(files);
    else if (text.trim() !== '') take([new File([text], 'pasted.csv', { type: 'text/plain' })]);
  }, { signal });
}

export function fromFiles({ place, bench, sample, signal }) {
  const waiting = [];
  let busy = false;
  const done = h('div', { class: 'stored-list' });
  const now = h('section', { class: 'drop-now' });
  const line = h('p', { class: 'soft', role: 'status' });
  const area = dropArea(take);

  function take(files) {
    waiting.push(...files);
    next();
  }

  function tellWaiting() {
    fill(line, waiting.length === 0 ? null : `Then ${waiting.map((file) => file.name).join(', ')}.`);
  }

  function over() {
    busy = false;
    fill(now);
    next();
  }

  const skip = () => button('Go on without it', over);

  async function next() {
    tellWaiting();
    if (busy || waiting.length === 0) return;
    busy = true;
    const file = waiting.shift();
    tellWaiting();
    const stop = new AbortController();
    signal.addEventListener('abort', () => stop.abort());
    const bar = progressLine(`Sending ${file.name}`, () => stop.abort());
    fill(now, bar);
    try {
      if (file.size > largest) throw new Fault(413, { what: `${file.name} is larger than 2 GB`, remedy: 'import it on the command line: rundown import' });
      const drop = await send(file, bar.show, stop.signal);
      show(file, drop);
    } catch (fault) {
      if (signal.aborted) return;
      if (fault.name === 'AbortError') over();
      else fill(now, h('h2', {}, file.name), faultBox(fault), h('p', { class: 'actions' }, skip()));
    }
  }

  function show(file, drop) {
    const shown = preview({
      file, drop, bench, sample, signal,
      stored: (what) => { done.append(storedLine(what)); over(); done.lastChild.querySelector('a').focus(); },
      letGo: () => { remove(`/api/drops/${drop.drop}`).catch(() => {}); over(); },
      again: (other) => { remove(`/api/drops/${drop.drop}`).catch(() => {}); waiting.unshift(other); over(); },
    });
    fill(now, shown);
    shown.querySelector('h2').focus();
  }

  hearDrops(area, take, signal);
  fill(place, area, done, now, line);
}
