// Readings into the book: files that are dropped, or lines that are typed. Nothing is stored until it is said so.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator } from '../core/head.js';
import { emptyState } from '../core/parts.js';
import { addressOf } from '../core/route.js';
import { fromFiles } from './add/files.js';
import { fromTyping } from './add/typing.js';

function ways(sample, typing) {
  const list = [
    { name: 'From a file', href: addressOf('/add', { sample }), here: !typing },
    { name: 'Typed by eye', href: addressOf('/add', { sample, type: 'readings' }), here: typing },
  ];
  return h('nav', { class: 'sample-places', 'aria-label': 'Ways to add' }, h('ul', {}, list.map(({ name, href, here }) =>
    h('li', {}, h('a', { href, 'aria-current': here ? 'page' : null }, name)))));
}

export async function page({ main, query, signal, title }) {
  title('Add readings');
  const sample = query.get('sample') ?? '';
  const typing = query.get('type') === 'readings';
  const place = h('div', {});
  fill(main, h('h1', {}, 'Add readings'), ways(sample, typing), place);
  if (!await isOperator()) {
    fill(place, emptyState('Only an operator adds readings. Pair this device with the operator’s code.', h('a', { href: '/pair' }, 'Pair')));
    return;
  }
  const bench = await get('/api/bench', signal); // samples and rigs to choose from
  const way = typing ? fromTyping : fromFiles;
  way({ place, bench, sample, signal });
}
