// A finding as a line: its name, and what was found or what is missing.
import { h } from '../../core/dom.js';
import { measureText } from '../../core/parts.js';

// What cannot be told says what is missing, and so what would tell.
export const told = (measure, more = '') => (measure.value === null
  ? [h('span', { class: 'cannot' }, 'cannot tell'), ` – missing: ${measure.cannot_tell}`]
  : [measureText(measure), more]);

export const line = (name, ...what) => [h('span', { class: 'finding-name' }, name), h('span', {}, ...what)];
export const bare = (name, ...what) => h('div', { class: 'finding bare' }, line(name, ...what));
