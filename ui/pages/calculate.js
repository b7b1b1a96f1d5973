// Calculators: wire, thermistor, cell code, case size. Each change is asked of the server, which computes and says at which
// field it could not; what is asked stands in the address.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { caution, faultBox, field } from '../core/parts.js';
import { addressOf, note } from '../core/route.js';
import { forms } from './calculate/forms.js';

const wait = 150; // ms after the last key

function controlOf(spec, query, changed) {
  const value = query.get(spec.name) ?? '';
  const plain = { name: spec.name, value, placeholder: spec.example ? `e.g. ${spec.example}` : null, autocomplete: 'off', oninput: changed };
  if (spec.kind === 'choice')
    return h('select', { name: spec.name, onchange: changed }, spec.values.map((one) => h('option', { value: one, selected: one === value }, one || 'not said')));
  if (spec.kind === 'several') return h('textarea', { ...plain, rows: 3, spellcheck: 'false', value: query.getAll(spec.name).join('\n') });
  if (spec.kind === 'tick') return h('input', { type: 'checkbox', name: spec.name, checked: value === 'yes', onchange: changed });
  return h('input', { ...plain, type: 'text', spellcheck: 'false', autocapitalize: 'off' });
}

function placeOf(spec, control) {
  const fault = h('p', { class: 'field-fault', id: `fault-${spec.name}`, hidden: true });
  const place = spec.kind === 'tick' ? h('div', { class: 'field tick' }, h('label', {}, control, ' ', spec.label)) : field(spec.label, control, spec.hint);
  place.append(fault);
  return { spec, control, place, fault };
}

const sentence = (words) => words.charAt(0).toUpperCase() + words.slice(1);
const said = ({ what, remedy }) => [what, remedy].filter(Boolean).map(sentence).join('. ') + '.';

// What is filled in, in the order of the form, as [name, words].
function filledIn(parts) {
  return parts.flatMap(({ spec, control }) => {
    if (spec.kind === 'tick') return control.checked ? [[spec.name, 'yes']] : [];
    const lines = spec.kind === 'several' ? control.value.split('\n') : [control.value];
    return lines.map((words) => words.trim()).filter(Boolean).map((words) => [spec.name, words]);
  });
}

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

const blank = (row) => row.every((cell) => cell.trim() === '');

// Rows parted by an empty one are tables of their own.
function tables(title, rows) {
  const groups = [[]];
  for (const row of rows) blank(row) ? groups.push([]) : groups.at(-1).push(row);
  return groups.filter((group) => group.length > 0).map((group) => h('table', { class: 'answer', 'aria-label': title },
    h('tbody', {}, group.map(([first, ...others]) => h('tr', {}, h('th', { scope: 'row' }, first), others.map((cell) => h('td', {}, cell)))))));
}

function showAnswer(place, title, answer) {
  const whole = answer.faults.filter((one) => one.field === '');
  if (answer.result === null) {
    fill(place, h('p', { class: 'soft' }, whole.length > 0 ? said(whole[0]) : 'No result until every field can be read.'));
    return;
  }
  fill(place, tables(title, answer.rows),
    h('h3', {}, 'Taken for granted'), h('ul', { class: 'assumed' }, answer.result.assumed.map((words) => h('li', {}, words))),
    h('p', { class: 'soft' }, 'Formulas and sources: ', h('code', {}, answer.method), '.'));
}

const others = (name) => h('nav', { class: 'sample-places', 'aria-label': 'Calculators' }, h('ul', {}, Object.entries(forms).map(([word, { title }]) =>
  h('li', {}, h('a', { href: `/calculate/${word}`, 'aria-current': word === name ? 'page' : null }, title)))));

export async function page({ main, query, signal, title }) {
  const name = location.pathname.split('/')[2];
  const form = forms[name];
  const answer = h('div', { class: 'calculate-answer', role: 'status' });
  let timer = 0, asking = new AbortController();
  const ask = async () => {
    asking.abort();
    asking = new AbortController();
    const filled = filledIn(parts);
    const address = addressOf(`/calculate/${name}`);
    const words = new URLSearchParams(filled);
    note(words.size > 0 ? `${address}?${words}` : address);
    try {
      const answered = await get(`/api/calculate/${name}?${words}`, asking.signal);
      showFaults(parts, answered.faults);
      showAnswer(answer, form.title, answered);
    } catch (fault) {
      if (fault.name !== 'AbortError') fill(answer, faultBox(fault));
    }
  };
  const changed = () => { clearTimeout(timer); timer = setTimeout(ask, wait); };
  const parts = form.fields.map((spec) => placeOf(spec, controlOf(spec, query, changed)));
  signal.addEventListener('abort', () => { clearTimeout(timer); asking.abort(); });
  title(form.title);
  fill(main, h('h1', {}, form.title), others(name), h('p', {}, form.about), form.caution ? caution(form.caution) : null,
    h('div', { class: 'calculate' },
      h('form', { class: 'calculate-form no-print', 'aria-label': form.title, onsubmit: (event) => { event.preventDefault(); ask(); } }, parts.map(({ place }) => place)),
      h('section', {}, h('h2', {}, 'Result'), answer)));
  await ask();
}
