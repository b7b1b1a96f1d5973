// A text of one of the forms of docs/ (label, rig, loads, plan, opened, readings), checked while it is typed: beside each line
// stands what it was taken for, or what is wrong with it. The server checks; nothing is kept by it.
import { give } from './ask.js';
import { fill, freshId, h } from './dom.js';
import { style } from './route.js';

const names = { label: 'Label', rig: 'Rig', loads: 'Loads', plan: 'Plan', opened: 'The opened sample', readings: 'Readings' };
const wait = 120; // ms after the last key, so that a word is not judged letter by letter

// The number, from 1, of the line where the caret stands.
const lineAt = (text, caret) => text.slice(0, caret).split('\n').length;

function startOf(text, line) {
  let at = 0;
  for (let k = 1; k < line && at >= 0; k++) at = text.indexOf('\n', at) + 1 || -1;
  return Math.max(at, 0);
}

// Columns count characters, the text of a field counts UTF-16 units.
const unitsOf = (line, column) => [...line].slice(0, Math.max(0, column - 1)).join('').length;

export const sentence = (words) => words.charAt(0).toUpperCase() + words.slice(1);
export const faultText = (fault) => [fault.what, fault.remedy].filter(Boolean).map(sentence).join('. ') + '.';

// What is typed outlives a closed page, in this browser alone, until it is forgotten.
export function draftOf(key) {
  const name = `rundown.draft.${key}`;
  return {
    text: () => localStorage.getItem(name),
    keep: (text) => { try { localStorage.setItem(name, text); } catch { /* full: the page still holds it */ } },
    forget: () => localStorage.removeItem(name),
  };
}

// The answer of the server, by lines.
function byLine(check) {
  const lines = new Map(check.lines.filter((one) => one.kind !== 'fault').map((one) => [one.line, { words: one.taken, kind: one.kind }]));
  for (const fault of [...check.faults].reverse()) lines.set(fault.line, { fault, words: faultText(fault), kind: 'fault' });
  return lines;
}

const nothing = { words: '', kind: '' };

class PaperEditor {
  check = null;
  readable = false;
  #parts;
  #options;
  #kept;
  #lines = new Map();
  #asking = new AbortController();
  #timer = 0;
  #pending = true;
  #waiting = [];

  constructor(options) {
    this.#options = options;
    this.#kept = options.draft ? draftOf(options.draft) : null;
    this.#make();
    const { area } = this.#parts;
    area.value = (options.readonly ? null : this.#kept?.text()) ?? options.text;
    this.drafted = area.value !== options.text;
    area.addEventListener('input', () => this.#changed());
    for (const moved of ['keyup', 'click', 'focus']) area.addEventListener(moved, () => this.#drawNow());
    options.signal?.addEventListener('abort', () => { this.#asking.abort(); clearTimeout(this.#timer); });
    this.#drawLines();
    this.#ask();
  }

  #make() {
    const { label, placeholder, readonly } = this.#options;
    const id = freshId('paper');
    const area = h('textarea', { id, wrap: 'off', spellcheck: 'false', autocapitalize: 'off', autocomplete: 'off', placeholder, readonly, 'aria-describedby': `${id}-now` });
    const gutter = h('div', { class: 'paper-numbers', 'aria-hidden': 'true' });
    const taken = h('div', { class: 'paper-taken', 'aria-hidden': 'true' });
    const now = h('p', { class: 'paper-now', id: `${id}-now`, role: 'status' });
    const faults = h('ul', { class: 'paper-faults', 'aria-label': 'What cannot be read' });
    this.#parts = { area, gutter, taken, now, faults };
    this.element = h('div', { class: 'paper-editor' }, h('label', { for: id }, label),
      h('div', { class: 'paper-sheet' }, gutter, area, taken), now, faults);
  }

  #drawNow() {
    const { area, now } = this.#parts;
    const line = lineAt(area.value, area.selectionStart);
    const { fault, words, kind } = this.about(line);
    fill(now, `Line ${line}`, words || kind ? ': ' : '', fault ? h('strong', {}, words) : words || kind);
  }

  #drawLines() {
    const { area, gutter, taken } = this.#parts;
    const lines = area.value.split('\n').map((_, k) => this.about(k + 1));
    area.rows = Math.max(lines.length + 1, 6);
    fill(gutter, lines.map(({ fault }, k) => h('span', { class: fault ? 'faulty' : null }, fault ? `! ${k + 1}` : k + 1)));
    fill(taken, lines.map(({ fault, words }) => h('span', { class: fault ? 'faulty' : null, title: words || null }, words || '\u00a0')));
    this.#drawNow();
  }

  #drawFaults() {
    const { area, faults } = this.#parts;
    const list = area.value.trim() === '' ? [] : this.check.faults;
    area.setAttribute('aria-invalid', list.length > 0 ? 'true' : 'false');
    fill(faults, list.map((fault) => h('li', {},
      fault.line > 0 ? h('button', { type: 'button', class: 'quiet', onclick: () => this.goTo(fault.line, fault.column) }, `Line ${fault.line}`) : null,
      ' ', faultText(fault))), list.length > 0 && this.check.more_faults ? h('li', {}, 'More lines cannot be read; these come first.') : null);
  }

  async #ask() {
    this.#asking.abort();
    this.#asking = new AbortController();
    const { signal } = this.#asking;
    try {
      const check = await give('POST', `/api/check/${this.#options.kind}`, this.text, 'text/plain; charset=utf-8', signal);
      if (signal.aborted) return;
      this.check = check;
      this.#lines = byLine(check);
      this.readable = check.fault === null;
      this.#drawLines();
      this.#drawFaults();
    } catch (fault) {
      if (fault.name === 'AbortError') return;
      this.check = null;
      fill(this.#parts.now, faultText({ what: fault.message, remedy: fault.remedy }));
    }
    this.#pending = false;
    for (const done of this.#waiting.splice(0)) done(this);
    this.#options.onchange(this);
  }

  #changed() {
    this.readable = false;
    this.#pending = true;
    if (this.text === this.#options.text) this.#kept?.forget();
    else this.#kept?.keep(this.text);
    this.#drawLines();
    this.#options.onchange(this);
    this.#asking.abort();
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => this.#ask(), wait);
  }

  // Through the browser's own editing, so that Ctrl-Z takes it back.
  #insert(words, from) {
    const { area } = this.#parts;
    area.focus();
    area.setSelectionRange(from, area.value.length);
    if (!document.execCommand(words === '' ? 'delete' : 'insertText', false, words)) area.value = area.value.slice(0, from) + words;
    this.#changed();
  }

  get text() { return this.#parts.area.value; }
  about(line) { return this.#lines.get(line) ?? nothing; }
  set(words) { this.#insert(words, 0); }
  append(line) {
    const end = this.text.trimEnd().length;
    this.#insert(`${end > 0 ? '\n' : ''}${line}\n`, end);
  }
  settled() { return new Promise((done) => { if (this.#pending) this.#waiting.push(done); else done(this); }); }
  focus() { this.#parts.area.focus(); }
  forget() { this.#kept?.forget(); }
  goTo(line, column = 1) {
    const { area } = this.#parts;
    const start = startOf(area.value, line);
    const words = area.value.slice(start).split('\n', 1)[0];
    area.focus();
    area.setSelectionRange(start + unitsOf(words, column), start + words.length);
  }
}

// {kind, text, label, draft, signal, placeholder, readonly, onchange(editor)} → an editor: `element`, `text`, `check` (the
// server's answer, null before the first), `readable` (as it stands), `drafted`, set(text), append(line), about(line) →
// {fault, words, kind}, settled(), focus(), goTo(line, column), forget(). `draft`: a key under which the text is kept
// until forget(), or until it is `text` again.
export function paperEditor({ kind, text = '', label = names[kind], draft = '', placeholder = null, readonly = false, signal, onchange = () => {} }) {
  style('paper_editor');
  return new PaperEditor({ kind, text, label, draft, placeholder, readonly, signal, onchange });
}
