// Edits that can be taken back: a line at the foot of the page for ten seconds, and Ctrl-Z outside of fields.
import { fill, h } from './dom.js';
import { faultWords } from './parts.js';

const notes = () => document.getElementById('notes');
let last = null;
let timer = 0;

// Says something that needs no answer.
export function say(words) {
  show(h('span', {}, words));
}

function show(...content) {
  clearTimeout(timer);
  fill(notes(), h('p', {}, ...content));
  timer = setTimeout(() => { fill(notes()); last = null; }, 10000);
}

// `back` undoes it, and may be async.
export function done(words, back) {
  if (back === null) return say(words);
  last = back;
  show(h('span', {}, words), ' ', h('button', { type: 'button', class: 'quiet', onclick: undo }, 'Undo'));
  return undefined;
}

async function undo() {
  const back = last;
  last = null;
  if (back === null) return;
  try {
    await back();
    say('Undone.');
  } catch (fault) {
    say(faultWords(fault));
  }
}

document.addEventListener('keydown', (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.key !== 'z' || last === null) return;
  if (event.target.closest?.('input:not([type=checkbox], [type=radio]), textarea')) return;
  event.preventDefault();
  undo();
});
