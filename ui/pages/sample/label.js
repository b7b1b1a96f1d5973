// The label as typed: read, edited with each line checked, its history with differences, an earlier one put again.
import { getText, give } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { instant } from '../../core/numbers.js';
import { paperEditor } from '../../core/paper_editor.js';
import { button, emptyState, faultBox, show } from '../../core/parts.js';
import { done } from '../../core/undo.js';
import { differencesView } from './differences.js';

const begun = (name) => `[sample]
name = ${name}
had = bought

# What is printed on it or promised with it, one claim a line: what = value with unit, conditions | where it was read
[claims]
# capacity = 100 Ah | case
# nominal voltage = 12.8 V | case

# What was weighed or measured on this unit besides the discharge
[measured]
# mass = 11.24 kg ± 0.03 kg | parcel scale
`;

export const putLabel = (sample, text) => give('PUT', `/api/samples/${sample}/papers/label`, text);

// Saves, and lets it be taken back.
async function save(sample, text, before) {
  await putLabel(sample, text);
  done('The label has a new version.', before === null ? null : () => putLabel(sample, before));
}

function history(place, sample, paper, operator) {
  const versions = [...paper.versions].reverse();
  const textOf = (version) => (version.document === paper.document ? paper.text : getText(`/api/papers/${version.document}`));
  const rows = versions.map((version, k) => {
    const compared = h('div', {});
    const before = versions[k + 1];
    const compare = () => show(compared, async () => differencesView(await textOf(before), await textOf(version)));
    const again = async () => {
      try {
        await save(sample, await textOf(version), paper.text);
      } catch (fault) {
        fill(compared, faultBox(fault));
      }
    };
    return h('li', {}, h('span', {}, `Version ${versions.length - k}, ${instant(version.put)}`), ' ',
      before ? button('What it changed', compare, { class: 'quiet' }) : null,
      operator && k > 0 ? button('Put this again', again, { class: 'quiet' }) : null, compared);
  });
  fill(place, h('details', { class: 'history no-print' }, h('summary', {}, `History: ${versions.length} versions`), h('ul', {}, rows)));
}

// `paper` null: there is none yet. Edits stay with the page while news come in.
export function labelSection(place, { sample, name, paper, operator, signal, editing }) {
  const past = h('div', {});
  const body = h('div', {});
  fill(place, h('h2', { id: 'label' }, 'Label'), body, past);

  function read() {
    editing.now = false;
    if (paper === null) {
      fill(body, emptyState('No label yet. A verdict needs claims: type what is printed on the sample and promised with it.',
        operator ? button('Type the label', edit, { class: 'main' }) : null));
      return;
    }
    fill(body, h('p', { class: 'soft' }, `As typed, ${instant(paper.put)}`), h('pre', { class: 'paper', tabindex: '0' }, paper.text),
      operator ? h('p', { class: 'actions' }, button('Edit the label', edit)) : null);
  }

  function edit() {
    editing.now = true;
    const answer = h('div', { 'aria-live': 'polite' });
    const keep = h('button', { class: 'main', disabled: true }, 'Save as a new version');
    const before = paper?.text ?? null;
    const editor = paperEditor({
      kind: 'label', label: 'What is printed on it and promised with it', text: before ?? begun(name), draft: `label.${sample}`, signal,
      onchange: (now) => { keep.disabled = !now.readable || now.text === before; },
    });
    const submit = async (event) => {
      event.preventDefault();
      try {
        await editor.settled();
        editing.now = false;
        await save(sample, editor.text, before);
        editor.forget();
        editing.refresh();
      } catch (fault) {
        editing.now = true;
        fill(answer, faultBox(fault));
        if (fault.line) editor.goTo(fault.line, fault.column);
      }
    };
    const leave = () => { editor.forget(); read(); };
    fill(body, h('form', { onsubmit: submit }, editor.element, answer,
      h('p', { class: 'actions' }, keep, button('Leave it as it was', leave))));
    editor.focus();
  }

  if (paper !== null && paper.versions.length > 1) history(past, sample, paper, operator);
  if (editing.now) edit();
  else read();
}
