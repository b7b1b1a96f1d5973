// Keys of a page: one letter each, never while something is typed, listed by `?`.
import { h } from './dom.js';
import { openDialog } from './parts.js';

let active = [];

const typing = (target) => target.closest?.('input:not([type=checkbox], [type=radio]), textarea, select, [contenteditable], dialog') !== null;

// keys: [{key: 'm', name: 'Put a mark', does: fn}]; gone with the page.
export function keys(list, signal) {
  active = active.concat(list);
  signal?.addEventListener('abort', () => { active = active.filter((one) => !list.includes(one)); });
}

export function keyList() {
  openDialog('Keys', h('table', { class: 'keys' }, h('tbody', {}, active.map((one) =>
    h('tr', {}, h('th', { scope: 'row' }, h('kbd', {}, one.shown ?? one.key)), h('td', {}, one.name))))));
}

document.addEventListener('keydown', (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented || typing(event.target)) return;
  if (event.repeat && !event.key.startsWith('Arrow')) return; // a key that is held is pressed once
  const one = active.find((item) => item.key === event.key) ?? active.find((item) => item.key === event.key.toLowerCase());
  if (one === undefined) return;
  event.preventDefault();
  one.does(event);
});
