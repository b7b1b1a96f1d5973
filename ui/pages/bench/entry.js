// Hand readings, fast: number keys and Enter. Enter moves on, and behind the last field it stores; the instant is that
// of the first key.
import { fill, freshId, h } from '../../core/dom.js';
import { setting } from '../../core/settings.js';
import { faultBox } from '../../core/parts.js';

const fields = [
  { word: 'v', name: 'Volts', unit: () => 'V', always: true },
  { word: 'a', name: 'Amps', unit: () => 'A', always: true },
  { word: 'degc', name: 'Temperature', unit: () => setting('temperature') },
  { word: 'ah', name: 'Charge of the meter', unit: () => 'Ah' },
  { word: 'wh', name: 'Energy of the meter', unit: () => 'Wh' },
];
const place = 'rundown.entry';
const chosen = () => new Set((localStorage.getItem(place) ?? '').split(',').filter(Boolean));
const number = /^[-\u2212]?\d+([.,]\d*)?$|^[-\u2212]?[.,]\d+$/;

function inputOf(one) {
  const id = freshId('entry');
  const unit = one.unit(); // as it is written beside the field, whatever is chosen meanwhile
  const input = h('input', { id, inputmode: 'decimal', autocomplete: 'off', enterkeyhint: 'next', size: 7 });
  return { ...one, unit: () => unit, input, element: h('div', { class: 'entry-field' }, h('label', { for: id }, one.name), h('span', {}, input, ' ', unit)) };
}

// The row of numbers. `put(line, pressed_ms)` stores.
function numberRow(put, answer) {
  let shown = [];
  let pressed_ms = null;
  const row = h('div', { class: 'entry-row' });
  const wrong = (one) => one.input.value.trim() !== '' && !number.test(one.input.value.trim());
  const clear = () => {
    for (const { input } of shown) {
      input.value = '';
      input.removeAttribute('aria-invalid');
    }
    pressed_ms = null;
    fill(answer);
    shown[0].input.focus();
  };
  const store = () => {
    const bad = shown.find(wrong);
    if (bad) {
      fill(answer, faultBox({ message: `“${bad.input.value}” is no number`, remedy: 'digits, and a point or a comma' }));
      bad.input.select();
      return;
    }
    const line = shown.filter(({ input }) => input.value.trim() !== '')
      .map(({ input, unit }) => `${input.value.trim().replace(',', '.').replace('\u2212', '-')} ${unit()}`).join(' ');
    if (line === '') return;
    put(line, pressed_ms ?? Date.now());
    clear();
  };
  const key = (event, k) => {
    if (event.key === 'Escape') clear();
    if (event.key !== 'Enter') return;
    event.preventDefault();
    if (k + 1 < shown.length) shown[k + 1].input.focus();
    else store();
  };
  const typed = () => {
    if (pressed_ms === null) pressed_ms = Date.now();
    if (shown.every(({ input }) => input.value === '')) pressed_ms = null;
    for (const one of shown) one.input.setAttribute('aria-invalid', wrong(one));
  };
  const draw = () => {
    const extra = chosen();
    pressed_ms = null;
    shown = fields.filter((one) => one.always || extra.has(one.word)).map(inputOf);
    shown.at(-1).input.enterKeyHint = 'done';
    shown.forEach((one, k) => {
      one.input.addEventListener('keydown', (event) => key(event, k));
      one.input.addEventListener('input', typed);
    });
    fill(row, shown.map(({ element }) => element), h('button', { type: 'button', onclick: store }, 'Store'));
  };
  draw();
  return { row, draw, focus: () => shown[0].input.focus() };
}

function fieldChoice(draw) {
  const extra = chosen();
  return h('p', { class: 'entry-choice' }, 'Also ', fields.filter((one) => !one.always).map((one) =>
    h('label', {}, h('input', {
      type: 'checkbox', checked: extra.has(one.word), onchange: (event) => {
        if (event.target.checked) extra.add(one.word); else extra.delete(one.word);
        localStorage.setItem(place, [...extra].join(','));
        draw();
      },
    }), `${one.name} (${one.unit()}) `)));
}

// A line as it would be typed in a file of readings, or words for a mark.
function freeLine(put) {
  let pressed_ms = null;
  const input = h('input', { autocomplete: 'off', enterkeyhint: 'done', maxlength: 240, placeholder: 'a line such as 12.9 V ~24 A, or words for a mark' });
  input.addEventListener('input', () => { pressed_ms = input.value === '' ? null : pressed_ms ?? Date.now(); });
  const store = (event) => {
    event.preventDefault();
    if (input.value.trim() === '') return;
    put(input.value.trim(), pressed_ms ?? Date.now());
    input.value = '';
    pressed_ms = null;
  };
  const back = (line, then_ms) => { input.value = line; pressed_ms = then_ms; input.focus(); };
  const id = freshId('line');
  input.id = id;
  return { back, input, element: h('form', { onsubmit: store, class: 'free-line' }, h('label', { for: id }, 'A line or a mark'), input, h('button', {}, 'Store')) };
}

export function entry(put) {
  const answer = h('div', { 'aria-live': 'assertive' });
  const line = freeLine(put);
  const numbers = numberRow(put, answer);
  const waiting = h('p', { class: 'soft', role: 'status' });
  return {
    element: h('section', { class: 'entry no-print', 'aria-label': 'Readings by eye' }, h('h2', {}, 'Readings by eye'),
      numbers.row, fieldChoice(numbers.draw), line.element, waiting, answer),
    focus: numbers.focus,
    focusLine: () => line.input.focus(),
    // A line that breaks the form stands there again, to be mended; its instant stays.
    refused: (fault, words, pressed_ms) => { fill(answer, faultBox(fault)); line.back(words, pressed_ms); },
    waiting: (lines) => fill(waiting, lines.length === 0 ? null : `${lines.length} not with the recorder yet: ${lines.map((one) => one.line).join(' · ')}`),
    clear: () => fill(answer),
  };
}
