// A text of one of the forms of docs/ (label, rig, loads, plan, readings), checked while it is typed: beside each line
// stands what it was taken for, or what is wrong with it. The server checks; nothing is kept by it.
import { give } from './ask.js';
import { fill, freshId, h } from './dom.js';
import { style } from './route.js';

const names = { label: 'Label', rig: 'Rig', loads: 'Loads', plan: 'Plan', readings: 'Readings' };
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

// {kind, text, label, draft, signal, readonly, onchange(editor)} → an editor: `element`, `text`, `check` (the server's
// answer about the text as it stands, or null while it is asked), `readable`, set(text), settled(), focus(),
// append(line), about(line) → {fault, words, kind}, goTo(line, column), forget(). `draft`: a key under which the text is kept until forget() or until it is `text` again.
export function paperEditor({ kind, text = '', label = names[kind], draft = '', signal, placeholder = null, readonly = false, onchange = () => {} }) {
  style('paper_editor');
  const id = freshId('paper');
  const area = h('textarea', { id, wrap: 'off', spellcheck: 'false', autocapitalize: 'off', autocomplete: 'off', placeholder, readonly, 'aria-describedby': `${id}-now` });
  const gutter = h('div', { class: 'paper-numbers', 'aria-hidden': 'true' });
  const taken = h('div', { class: 'paper-taken', 'aria-hidden': 'true' });
  const now = h('p', { class: 'paper-now', id: `${id}-now`, role: 'status' });
  const faults = h('ul', { class: 'paper-faults', 'aria-label': 'What cannot be read' });
  const kept = draft ? draftOf(draft) : null;
  const editor = { element: null, check: null, readable: false };
  let asking = new AbortController();
  let timer = 0;
  let settle = Promise.resolve();

  Object.defineProperty(editor, 'text', { get: () => area.value });
  editor.element = h('div', { class: 'paper-editor' },
    h('label', { for: id }, label),
    h('div', { class: 'paper-sheet' }, gutter, area, taken), now, faults);

  const ofLine = (line) => {
    const fault = editor.check?.faults.find((one) => one.line === line);
    const found = editor.check?.lines.find((one) => one.line === line && one.kind !== 'fault');
    return { fault, words: fault ? faultText(fault) : found?.taken ?? '', kind: found?.kind ?? '' };
  };

  function drawNow() {
    const line = lineAt(area.value, area.selectionStart);
    const { fault, words, kind: word } = ofLine(line);
    fill(now, `Line ${line}`, words || word ? ': ' : '', fault ? h('strong', {}, words) : words || word);
  }

  function drawLines() {
    const count = area.value.split('\n').length;
    area.rows = Math.max(count + 1, 6);
    const lines = Array.from({ length: count }, (_, k) => ofLine(k + 1));
    fill(gutter, lines.map(({ fault }, k) => h('span', { class: fault ? 'faulty' : null }, fault ? `! ${k + 1}` : k + 1)));
    fill(taken, lines.map(({ fault, words }) => h('span', { class: fault ? 'faulty' : null, title: words || null }, words || '\u00a0')));
    drawNow();
  }

  function drawFaults() {
    const list = editor.check?.faults ?? [];
    area.setAttribute('aria-invalid', list.length > 0 && area.value.trim() !== '' ? 'true' : 'false');
    fill(faults, (area.value.trim() === '' ? [] : list).map((fault) => h('li', {},
      fault.line > 0 ? h('button', { type: 'button', class: 'quiet', onclick: () => editor.goTo(fault.line, fault.column) }, `Line ${fault.line}`) : null,
      ' ', faultText(fault))), editor.check?.more_faults ? h('li', {}, 'More lines cannot be read; these come first.') : null);
  }

  async function ask() {
    asking.abort();
    asking = new AbortController();
    const { signal: mine } = asking;
    try {
      const check = await give('POST', `/api/check/${kind}`, area.value, 'text/plain; charset=utf-8', mine);
      if (mine.aborted) return;
      editor.check = check;
      editor.readable = check.fault === null;
    } catch (fault) {
      if (fault.name === 'AbortError') return;
      editor.check = null;
      fill(now, faultText({ what: fault.message, remedy: fault.remedy }));
      return;
    }
    drawLines();
    drawFaults();
    onchange(editor);
  }

  function changed() {
    editor.readable = false;
    kept?.keep(area.value);
    drawLines();
    onchange(editor);
    clearTimeout(timer);
    settle = new Promise((done) => { timer = setTimeout(() => ask().finally(done), wait); });
  }

  // Through the browser's own editing, so that Ctrl-Z takes it back.
  function insert(words, from) {
    area.focus();
    area.setSelectionRange(from, area.value.length);
    if (!document.execCommand(words === '' ? 'delete' : 'insertText', false, words)) area.value = area.value.slice(0, from) + words;
    changed();
  }

  editor.set = (words) => insert(words, 0);
  editor.append = (line) => {
    const end = area.value.trimEnd().length;
    insert(`${end > 0 ? '\n' : ''}${line}\n`, end);
  };
  editor.about = ofLine;
  editor.settled = async () => { await settle; return editor; };
  editor.focus = () => area.focus();
  editor.forget = () => kept?.forget();
  editor.goTo = (line, column = 1) => {
    const start = startOf(area.value, line);
    const words = area.value.slice(start).split('\n', 1)[0];
    area.focus();
    area.setSelectionRange(start + unitsOf(words, column), start + words.length);
  };

  area.addEventListener('input', changed);
  for (const moved of ['keyup', 'click', 'focus']) area.addEventListener(moved, drawNow);
  signal?.addEventListener('abort', () => { asking.abort(); clearTimeout(timer); });
  area.value = (readonly ? null : kept?.text()) ?? text;
  editor.drafted = area.value !== text;
  drawLines();
  settle = ask();
  return editor;
}
