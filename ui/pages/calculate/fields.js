// The form of a calculation: its fields, what is filled in, and the faults of each at its place.
import { fill, h } from '../../core/dom.js';
import { field } from '../../core/parts.js';

function controlOf(spec, query, changed) {
  const { name } = spec;
  const value = query.get(name) ?? '';
  const plain = { name, value, placeholder: spec.example ? `e.g. ${spec.example}` : null, autocomplete: 'off', spellcheck: 'false', autocapitalize: 'off', oninput: changed };
  if (spec.kind === 'choice')
    return h('select', { name, onchange: changed }, spec.values.map((one) => h('option', { value: one, selected: one === value }, one || 'not said')));
  if (spec.kind === 'lines') return h('textarea', { ...plain, rows: 3, value: query.getAll(name).join('\n') });
  if (spec.kind === 'tick') return h('input', { type: 'checkbox', name, checked: value === 'yes', onchange: changed });
  return h('input', { ...plain, type: 'text' });
}

function placeOf(spec, control) {
  const fault = h('p', { class: 'field-fault', id: `fault-${spec.name}`, hidden: true });
  const place = spec.kind === 'tick' ? h('div', { class: 'field tick' }, h('label', {}, control, ' ', spec.label)) : field(spec.label, control, spec.hint);
  if (spec.kind === 'lines') place.classList.add('whole-line');
  place.append(fault);
  return { spec, control, place, fault };
}

const sentence = (words) => words.charAt(0).toUpperCase() + words.slice(1);
export const said = ({ what, remedy }) => [what, remedy].filter(Boolean).map(sentence).join('. ') + '.';

function showFaults(parts, faults) {
  for (const { spec, control, fault } of parts) {
    const own = faults.filter((one) => one.field === spec.name);
    fault.hidden = own.length === 0;
    fill(fault, own.map(said).join(' '));
    control.setAttribute('aria-invalid', own.length > 0 ? 'true' : 'false');
    const describedBy = [spec.hint && spec.kind !== 'tick' ? `${control.id}-hint` : '', own.length > 0 ? fault.id : ''].filter(Boolean).join(' ');
    if (describedBy) control.setAttribute('aria-describedby', describedBy);
    else control.removeAttribute('aria-describedby');
  }
}

// `beside(spec, control)`: what else stands at a field, or null. `filled()`: [name, words] in the order of the form.
export function calculateForm({ title, groups }, query, { changed, submitted, beside }) {
  const parts = [];
  const element = h('form', { class: 'calculate-form', 'aria-label': title, onsubmit: (event) => { event.preventDefault(); submitted(); } },
    groups.map(({ heading, fields }) => h('fieldset', {}, h('legend', {}, heading), h('div', { class: 'calculate-fields' }, fields.map((spec) => {
      const part = placeOf(spec, controlOf(spec, query, changed));
      parts.push(part);
      part.place.append(beside(spec, part.control) ?? '');
      return part.place;
    })))), h('button', { type: 'submit', class: 'off-screen', tabindex: '-1', 'aria-hidden': 'true' }, 'Calculate'));
  const filled = () => parts.flatMap(({ spec, control }) => {
    if (spec.kind === 'tick') return control.checked ? [[spec.name, 'yes']] : [];
    return (spec.kind === 'lines' ? control.value.split('\n') : [control.value]).map((words) => words.trim()).filter(Boolean).map((words) => [spec.name, words]);
  });
  return { element, filled, showFaults: (faults) => showFaults(parts, faults) };
}
