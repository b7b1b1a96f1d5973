// A finding as a line: its name, and what was found or what is missing.
import { h } from '../../core/dom.js';
import { measureText, table } from '../../core/parts.js';

// What cannot be told says what is missing, and so what would tell.
export const told = (measure, more = '') => (measure.value === null
  ? [h('span', { class: 'cannot' }, 'cannot tell'), ` – missing: ${measure.cannot_tell}`]
  : [measureText(measure), more]);

export const line = (name, ...what) => [h('span', { class: 'finding-name' }, name), h('span', {}, ...what)];
export const bare = (name, ...what) => h('div', { class: 'finding bare' }, line(name, ...what));

// columns: [head, (one) => cell]; a column in which no row has anything is left out.
export function tableOf(caption, columns, list) {
  const filled = columns.map(([head, cell]) => [head, list.map(cell)]).filter(([, cells]) => cells.some((cell) => cell !== null));
  return table(caption, filled.map(([head]) => head), list.map((one, k) => filled.map(([, cells]) => cells[k] ?? '–')));
}
