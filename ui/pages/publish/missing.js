// What is missing for a verdict that can be defended: what, what to do next, how much it would help.
import { h } from '../../core/dom.js';
import { addressOf } from '../../core/route.js';

const open = 2; // groups that stand open: the later ones only carry the verdict further

const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);

const item = (one, sample) => h('li', {},
  h('strong', {}, one.claim ? h('a', { href: addressOf(`/replies/${sample}`) + `#${one.claim}` }, one.what) : one.what, '.'),
  ' ', one.next ? `${capital(one.next)}.` : '', one.helps ? h('span', { class: 'helps' }, `${capital(one.helps)}.`) : null);

export function missingList(list, sample) {
  if (list.length === 0) return h('p', {}, 'Nothing that the readings, the label or the rig would show.');
  const groups = Map.groupBy(list, (one) => one.weight);
  return [...groups].map(([weight, items], k) => h('details', { open: k < open, class: 'missing' },
    h('summary', {}, `${capital(weight)} (${items.length})`), h('ul', {}, items.map((one) => item(one, sample)))));
}
