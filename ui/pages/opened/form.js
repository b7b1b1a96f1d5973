// One item as a form: a field a key, with what to write there and why; a fault is told at its field.
import { give } from '../../core/ask.js';
import { fill, freshId, h } from '../../core/dom.js';
import { button, faultBox, field } from '../../core/parts.js';
import { done } from '../../core/undo.js';

const oneLine = (words) => words.replace(/\s+/g, ' ').trim();

// The section's text, and which field each of its lines came from.
function written(kind, name, entries) {
  const lines = [[`[${[kind, name].filter(Boolean).join(' ')}]`, 'name']];
  for (const { key, value } of entries) if (value) lines.push([`${key} = ${value}`, key]);
  return { text: `${lines.map(([line]) => line).join('\n')}\n`, keyOf: (line) => lines[line - 1]?.[1] ?? '' };
}

const judged = (item) => [{ key: 'opinion', value: item.opinion },
  { key: 'grade', value: item.grade ? [item.grade, item.grade_why].filter(Boolean).join(', ') : '' }];

export const sectionOf = (item) => written(item.kind, item.name, [...item.entries, ...judged(item)]).text;

// slug null: a new item. Answers with the whole paper.
export const putItem = (sample, slug, text) =>
  give(slug === null ? 'POST' : 'PUT', `/api/samples/${sample}/opened${slug === null ? '' : `/${slug}`}`, text);

function controlOf(key, item) {
  const values = item === null ? [] : item.entries.filter((entry) => entry.key.toLowerCase() === key.key).map((entry) => entry.value);
  if (key.repeats)
    return { control: h('textarea', { rows: Math.max(1, values.length), placeholder: key.example, value: values.join('\n') }), list: null };
  const list = key.choices.length > 0 ? h('datalist', { id: freshId('choices') }, key.choices.map((value) => h('option', { value }))) : null;
  return { control: h('input', { placeholder: key.example, autocomplete: 'off', list: list?.id, value: values[0] ?? '' }), list };
}

export function itemForm({ sample, kind, keys, item, name, ended }) {
  const controls = new Map();
  const answer = h('div', { 'aria-live': 'polite' });
  const called = h('input', { autocomplete: 'off', maxlength: 60, value: item?.name ?? name });
  controls.set('name', called);
  const fields = keys.map((key) => {
    const { control, list } = controlOf(key, item);
    controls.set(key.key, control);
    return [field(key.key, control, key.repeats ? `${key.why}; one a line` : key.why), list];
  });
  const grade = h('select', {}, ['', 'good', 'fair', 'poor'].map((word) => h('option', { value: word, selected: word === (item?.grade ?? '') }, word || 'not graded')));
  const why = h('input', { autocomplete: 'off', placeholder: 'strands nicked at one lug', value: item?.grade_why ?? '' });
  const opinion = h('input', { autocomplete: 'off', placeholder: 'neat, but thin', value: item?.opinion ?? '' });
  controls.set('grade', grade).set('opinion', opinion);

  function entries() {
    const list = keys.flatMap((key) => controls.get(key.key).value.split('\n').map((value) => ({ key: key.key, value: oneLine(value) })));
    return [...list, ...judged({ opinion: oneLine(opinion.value), grade: grade.value, grade_why: oneLine(why.value) })];
  }

  function tell(fault, keyOf) {
    const control = controls.get(keyOf(fault.line));
    for (const one of controls.values()) one.removeAttribute('aria-invalid');
    fill(answer, faultBox(fault));
    control?.setAttribute('aria-invalid', 'true');
    control?.focus();
  }

  async function submit(event) {
    event.preventDefault();
    const { text, keyOf } = written(kind, oneLine(called.value), entries());
    try {
      const before = item === null ? null : sectionOf(item);
      const after = await putItem(sample, item?.slug ?? null, text);
      ended(after);
      const now = after.opened.items.find((one) => one.kind === kind && one.name === oneLine(called.value));
      done('Written down.', before === null || !now ? null : async () => ended(await putItem(sample, now.slug, before)));
    } catch (fault) {
      tell(fault, keyOf);
    }
  }

  const element = h('form', { class: 'item-form', onsubmit: submit }, h('h3', {}, kind),
    field('Name', called, 'of yours, where there are several of the kind'), h('div', { class: 'item-fields' }, fields),
    h('fieldset', {}, h('legend', {}, 'What you make of it, shown as yours'), h('div', { class: 'item-fields' },
      field('Grade of the work', grade), field('because', why), field('Opinion', opinion))),
    answer, h('p', { class: 'actions' }, h('button', { class: 'main' }, 'Keep it'), button('Leave it', () => ended(null))));
  return { element, focus: (key) => (controls.get(key) ?? (item === null && keys.length > 0 ? controls.get(keys[0].key) : called)).focus() };
}
