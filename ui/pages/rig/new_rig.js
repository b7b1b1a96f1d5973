// A new rig from plain answers: they are written as text, which is then checked, changed and kept.
import { fill, h } from '../../core/dom.js';
import { button, field } from '../../core/parts.js';
import { paperPanel } from './paper_panel.js';
import { rigTemplates } from './templates.js';

const control = (one) => (one.choices
  ? h('select', { name: one.key }, one.choices.map((words) => h('option', { value: words }, words)))
  : h('input', { name: one.key, value: one.value, autocomplete: 'off', spellcheck: 'false' }));

const fileName = (name) => `${name.trim().toLowerCase().replace(/[^\p{L}\p{N}]+/gu, '-').replace(/^-|-$/g, '') || 'bench'}.rig`;

export function newRig({ signal, saved, close }) {
  const about = h('p', { class: 'soft' });
  const fields = h('div', { class: 'fields rig-fields' });
  const paper = h('div', {});
  let template = rigTemplates[0];
  const show = () => {
    fill(about, template.about);
    fill(fields, template.fields.map((one) => field(one.label, control(one), one.hint ?? '')));
  };
  const write = (event) => {
    event.preventDefault();
    const values = Object.fromEntries(template.fields.map((one) => [one.key, form.elements[one.key].value.trim()]));
    fill(paper, paperPanel({ kind: 'rig', name: fileName(values.name), text: template.write(values), fresh: true, signal, saved, close }));
    paper.querySelector('input').focus();
  };
  const choice = h('select', { onchange: (event) => { template = rigTemplates[event.target.selectedIndex]; show(); } },
    rigTemplates.map((one) => h('option', {}, one.name)));
  const form = h('form', { onsubmit: write }, field('The amps and volts come from', choice), about, fields,
    h('p', { class: 'actions' }, h('button', { class: 'main' }, 'Write it'), button('Close', close, { class: 'quiet' })));
  show();
  return h('section', { class: 'paper-panel', 'aria-label': 'New rig' }, h('h2', {}, 'New rig'), form, paper);
}
