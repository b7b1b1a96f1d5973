// What of a text became what: line by line, by the longest common subsequence.
import { h } from '../../core/dom.js';

const linesOf = (text) => text.replace(/\r\n?/g, '\n').replace(/\n$/, '').split('\n');

function lengths(before, after) {
  const table = Array.from({ length: before.length + 1 }, () => new Uint32Array(after.length + 1));
  for (let i = before.length - 1; i >= 0; i--)
    for (let j = after.length - 1; j >= 0; j--)
      table[i][j] = before[i] === after[j] ? table[i + 1][j + 1] + 1 : Math.max(table[i + 1][j], table[i][j + 1]);
  return table;
}

// [{kind: 'same'|'gone'|'new', line}]
export function differences(one, other) {
  const before = linesOf(one);
  const after = linesOf(other);
  const table = lengths(before, after);
  const list = [];
  let i = 0;
  let j = 0;
  while (i < before.length || j < after.length) {
    if (i < before.length && j < after.length && before[i] === after[j]) {
      list.push({ kind: 'same', line: before[i] });
      i++;
      j++;
    } else if (j >= after.length || (i < before.length && table[i + 1][j] >= table[i][j + 1])) {
      list.push({ kind: 'gone', line: before[i++] });
    } else {
      list.push({ kind: 'new', line: after[j++] });
    }
  }
  return list;
}

const words = { same: '', gone: 'taken out: ', new: 'put in: ' };
const signs = { same: ' ', gone: '−', new: '+' };
const near = 1; // lines of context

export function differencesView(one, other) {
  const list = differences(one, other);
  const shown = list.map((item, k) => list.slice(Math.max(0, k - near), k + near + 1).some(({ kind }) => kind !== 'same'));
  if (!shown.includes(true)) return h('p', { class: 'soft' }, 'No difference.');
  return h('ol', { class: 'differences' }, list.map((item, k) => {
    if (!shown[k]) return k > 0 && shown[k - 1] ? h('li', { class: 'soft' }, '…') : null;
    const tag = { same: 'span', gone: 'del', new: 'ins' }[item.kind];
    return h('li', { class: item.kind }, h('span', { 'aria-hidden': 'true' }, `${signs[item.kind]} `),
      h('span', { class: 'off-screen' }, words[item.kind]), h(tag, {}, item.line || '\u00a0'));
  }));
}
