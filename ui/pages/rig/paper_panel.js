// A rig or loads paper of the workshop, typed and kept as a new version; what stood before is a click away.
import { get, give } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { instant } from '../../core/numbers.js';
import { paperEditor } from '../../core/paper_editor.js';
import { button, faultBox, field, openDialog } from '../../core/parts.js';
import { done } from '../../core/undo.js';

const words = { rig: 'Rig', loads: 'Loads' };

export const keepPaper = (kind, name, text) =>
  give('PUT', `/api/workshop/papers/${kind}?name=${encodeURIComponent(name)}`, text);

// {kind, name, text, fresh, signal, saved(version), close()} → an element. `fresh`: its name is still to be chosen.
export function paperPanel({ kind, name, text, fresh = false, signal, saved, close }) {
  const named = h('input', { value: name, maxlength: 100, required: true, spellcheck: 'false' });
  const answer = h('div', { 'aria-live': 'polite' });
  const keep = button(fresh ? 'Keep' : 'Keep as a new version', async () => {
    try {
      await editor.settled();
      if (!editor.readable) return;
      const version = await keepPaper(kind, fresh ? named.value.trim() : name, editor.text);
      editor.forget();
      if (fresh) saved(version);
      else done(`${name}: a new version is kept.`, async () => saved(await keepPaper(kind, name, text)));
      if (!fresh) saved(version);
      close();
    } catch (fault) {
      fill(answer, faultBox(fault));
    }
  }, { class: 'main', disabled: true });
  const editor = paperEditor({
    kind, text, label: fresh ? `${words[kind]} as text` : `${words[kind]}: ${name}`, draft: `${kind}-${fresh ? 'new' : name}`, signal,
    onchange: (now) => { keep.disabled = !now.readable || (!fresh && now.text === text); },
  });
  const element = h('section', { class: 'paper-panel', 'aria-label': fresh ? `New ${kind}` : `Edit ${name}` },
    fresh ? field('Name', named, 'What it is called in lists. A name that is taken gets a new version.') : null,
    editor.element, answer,
    h('p', { class: 'actions' }, keep, button('Close', () => { editor.forget(); close(); }, { class: 'quiet' })));
  element.editor = editor;
  element.addEventListener('keydown', (event) => {
    if (event.key === 'Escape' && editor.text === text) close();
    if (event.key === 'Enter' && (event.ctrlKey || event.metaKey)) keep.click();
  });
  return element;
}

// Every version as typed; an earlier one can be taken up again, as a version of its own.
export async function history(paper, operator, saved) {
  const versions = await get(`/api/papers/${paper.document}/versions`);
  openDialog(`${paper.name}: ${versions.length} version${versions.length > 1 ? 's' : ''}`, versions.map((version, k) =>
    h('details', { open: k === 0 }, h('summary', {}, instant(version.put), k === 0 ? ' · holds now' : ''),
      h('pre', {}, version.text),
      k > 0 && operator ? button('Take this one up again', async (event) => {
        const kept = await keepPaper(paper.kind, paper.name, version.text);
        event.target.closest('dialog').close();
        saved(kept);
      }) : null)));
}
