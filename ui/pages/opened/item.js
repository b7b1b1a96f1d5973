// One item: as typed, what it comes to, what it means, what the tester makes of it.
import { h } from '../../core/dom.js';
import { signed } from '../../core/numbers.js';
import { measureText } from '../../core/parts.js';

const row = (name, ...content) => h('div', {}, h('dt', {}, name), h('dd', {}, ...content));

function valueRow(value) {
  if (value.measure === null) return row(value.what, signed(value.words));
  const missing = value.measure.value === null ? `: ${value.measure.cannot_tell ?? ''}` : '';
  return row(value.what, measureText(value.measure), missing, value.words ? `, ${signed(value.words)}` : '');
}

export function itemView(item, pictures, tools, place) {
  const grade = [item.grade, item.grade_why].filter(Boolean).join(': ');
  return h('article', { class: 'item', id: item.slug },
    h('h3', {}, [item.kind, item.name].filter(Boolean).join(' ')),
    item.against ? h('p', { class: 'against' }, h('strong', {}, 'Against the label. '), signed(item.against)) : null,
    item.means ? h('p', {}, signed(item.means)) : null,
    h('div', { class: 'item-columns' },
      h('dl', { class: 'typed' }, item.entries.map(({ key, value }) => row(key, value)),
        grade ? row('tester\u2019s grade', grade) : null, item.opinion ? row('tester\u2019s opinion', h('i', {}, item.opinion)) : null),
      item.values.length > 0 ? h('dl', { class: 'computed' }, item.values.map(valueRow)) : null),
    pictures, tools, place);
}
