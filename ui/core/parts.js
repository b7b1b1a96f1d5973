// What several pages are made of.
import { fill, freshId, h } from './dom.js';
import { measured } from './numbers.js';

export const faultWords = (fault) => [fault.message, fault.remedy].filter(Boolean).join('. ');

// A fault in its place on the page: what is wrong, and the remedy.
export function faultBox(fault) {
  return h('div', { class: 'fault', role: 'alert' },
    h('p', {}, h('strong', {}, fault.message), fault.line ? ` (line ${fault.line}${fault.column ? `, column ${fault.column}` : ''})` : ''),
    fault.remedy ? h('p', {}, fault.remedy) : null);
}

// Nothing here yet: what to do next.
export const emptyState = (what, ...next) => h('div', { class: 'empty' }, h('p', {}, what), ...next);

const slugOf = (verdict) => verdict.replaceAll(' ', '-');
export const verdictWord = (verdict) => h('strong', { class: `verdict ${slugOf(verdict)}` }, verdict);

// A measured quantity; what is missing when it cannot be told.
export function measureText(measure) {
  if (measure && measure.value === null)
    return h('span', { class: 'cannot', title: measure.cannot_tell ?? '' }, 'cannot tell');
  return h('span', { class: 'measure' }, measured(measure));
}

// heads: ['Name', '>Number']: a head that begins with > stands flush right. rows: arrays of text or elements.
export function table(caption, heads, rows, attributes = {}) {
  const right = heads.map((head) => head.startsWith('>'));
  return h('div', { class: 'scroll', tabindex: '0', role: 'region', 'aria-label': caption },
    h('table', attributes,
      h('caption', {}, caption),
      h('thead', {}, h('tr', {}, heads.map((head, k) => h('th', { scope: 'col', class: right[k] ? 'n' : null }, head.replace(/^>/, ''))))),
      h('tbody', {}, rows.map((row) => h('tr', {}, row.map((cell, k) => h(k === 0 ? 'th' : 'td', { scope: k === 0 ? 'row' : null, class: right[k] ? 'n' : null }, cell)))))));
}

// columns: [head, (one) => cell]; a column in which no row has anything is left out.
export function tableOf(caption, columns, list) {
  const filled = columns.map(([head, cell]) => [head, list.map(cell)]).filter(([, cells]) => cells.some((cell) => cell !== null));
  return table(caption, filled.map(([head]) => head), list.map((one, k) => filled.map(([, cells]) => cells[k] ?? '–')));
}

// A labelled field. control: an input, select or textarea.
export function field(label, control, hint = '') {
  control.id ||= freshId('field');
  if (hint) control.setAttribute('aria-describedby', `${control.id}-hint`);
  return h('div', { class: 'field' }, h('label', { for: control.id }, label), control,
    hint ? h('small', { id: `${control.id}-hint` }, hint) : null);
}

export const button = (words, onclick, attributes = {}) => h('button', { type: 'button', onclick, ...attributes }, words);

// A caution at the moment it matters: short, and no more than one at a time.
export const caution = (...words) => h('p', { class: 'caution', role: 'note' }, h('strong', {}, 'Caution. '), ...words);

// Modal; Escape closes it, focus goes back to where it was. Returns the dialog.
export function openDialog(title, ...content) {
  const id = freshId('dialog');
  const dialog = h('dialog', { 'aria-labelledby': id },
    h('form', { method: 'dialog', class: 'dialog-head' }, h('h2', { id }, title), h('button', { class: 'quiet', 'aria-label': 'Close' }, 'Close')),
    ...content);
  const before = document.activeElement;
  dialog.addEventListener('close', () => { dialog.remove(); before?.focus?.(); });
  document.body.append(dialog);
  dialog.showModal();
  return dialog;
}

// Before something goes for good: resolves to true only when the name was typed, or (without one) the button pressed.
export function confirmLoss(title, words, verb, name = '') {
  return new Promise((resolve) => {
    const go = h('button', { type: 'submit', class: 'loss', disabled: name !== '' }, verb);
    const typed = h('input', { autocomplete: 'off', oninput: () => { go.disabled = typed.value !== name; } });
    const form = h('form', { onsubmit: (event) => { event.preventDefault(); sure = true; dialog.close(); } },
      h('p', {}, words), name ? field(`Type its name, ${name}, to be sure`, typed) : null, h('p', { class: 'actions' }, go));
    let sure = false;
    const dialog = openDialog(title, form);
    dialog.addEventListener('close', () => resolve(sure));
    (name ? typed : go).focus();
  });
}

// Long work: how far it is, and a way to stop it.
export function progressLine(title, stop) {
  const bar = h('progress', { max: 1, value: 0, 'aria-label': title });
  const line = h('p', { class: 'progress' }, h('span', {}, title), bar, stop ? button('Stop', stop, { class: 'quiet' }) : null);
  line.show = (share) => { if (share >= 0) bar.value = share; else bar.removeAttribute('value'); };
  return line;
}

// Fills `place` with what `make` gives, or with its fault.
export async function show(place, make) {
  try {
    fill(place, await make());
  } catch (fault) {
    if (fault.name !== 'AbortError') fill(place, faultBox(fault));
  }
}

export async function copyText(text) {
  if (navigator.clipboard !== undefined) return navigator.clipboard.writeText(text);
  const area = h('textarea', { class: 'off-screen' }); // plain HTTP on a local network has no clipboard of its own
  area.value = text;
  document.body.append(area);
  area.select();
  document.execCommand('copy');
  area.remove();
}
