// Guides: a sheet to follow for each test by hand, with the numbers of a sample where one is named.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { samplePlaces } from '../core/head.js';
import { addressOf } from '../core/route.js';

const inOrder = new Set(['steps']);
const toDo = new Set(['needs', 'prepare', 'note']);

function stepList(part) {
  return h('ol', { class: 'guide-steps' }, part.lines.map(({ words, mark }, k) => h('li', {},
    h('label', {}, h('input', { type: 'checkbox', 'aria-label': `Step ${k + 1} done` }), h('span', {}, words)),
    mark ? h('p', { class: 'guide-mark' }, 'mark: ', h('kbd', {}, mark)) : null)));
}

function partView(part) {
  const list = inOrder.has(part.part) ? stepList(part)
    : h('ul', { class: toDo.has(part.part) ? 'guide-ticks' : null }, part.lines.map(({ words }) =>
      h('li', {}, toDo.has(part.part) ? h('label', {}, h('input', { type: 'checkbox' }), h('span', {}, words)) : words)));
  return h('section', { class: `guide-part guide-${part.part}` }, h('h2', {}, part.heading), list);
}

const numbers = (list) => h('section', { class: 'guide-part' }, h('h2', {}, 'Numbers of this sample'),
  h('table', { class: 'guide-numbers' }, h('tbody', {}, list.map(({ what, words, from }) =>
    h('tr', {}, h('th', { scope: 'row' }, what), h('td', {}, h('strong', {}, words)), h('td', { class: 'soft' }, from))))));

const sampleOf = (sample) => sample ?? undefined;

const chosen = (all, test, sample) => h('nav', { class: 'guide-list no-print', 'aria-label': 'Sheets' }, h('ul', {}, all.guides.map((one) =>
  h('li', {}, h('a', { href: addressOf('/guides', { sample: sampleOf(sample), test: one.test }), 'aria-current': one.test === test ? 'page' : null }, one.title),
    one.claims.length > 0 ? h('span', { class: 'soft' }, ` ${one.claims.join(', ')}`) : null))));

function sheet(guide, test, sample) {
  return h('article', { class: 'guide' },
    h('h2', { class: 'guide-title' }, guide.title),
    h('p', { class: 'soft' }, `Recorded as a run of the kind ${guide.kind}. `, h('span', { class: 'no-print' },
      h('a', { href: addressOf(`/api/guides/${test}/sheet.pdf`, { sample: sampleOf(sample) }), download: `${test}.pdf` }, 'Page to print (PDF)'), ' ',
      h('a', { href: addressOf(`/api/guides/${test}/sheet.pdf`, { sample: sampleOf(sample), paper: 'letter' }), download: `${test}.pdf` }, 'on Letter'))),
    numbers(guide.numbers), guide.parts.map(partView));
}

export async function page({ main, query, signal, title }) {
  const sample = query.get('sample');
  const all = await get(addressOf('/api/guides', { sample: sampleOf(sample) }), signal);
  const test = query.get('test') ?? '';
  const guide = test ? await get(addressOf(`/api/guides/${encodeURIComponent(test)}`, { sample: sampleOf(sample) }), signal) : null;
  const heading = all.sample ? `Sheets for tests: ${all.sample}` : 'Sheets for tests by hand';
  title(guide ? `${guide.title}${all.sample ? `: ${all.sample}` : ''}` : heading);
  fill(main, h('h1', {}, heading), sample ? samplePlaces(sample, 'guides') : null,
    guide?.invented ? h('p', { class: 'invented' }, 'Invented data') : null,
    sample ? null : h('p', { class: 'soft no-print' }, 'General sheets, without the numbers of a sample. Those of a sample are reached from its own page.'),
    chosen(all, test, sample),
    guide ? sheet(guide, test, sample) : null,
    h('section', { class: 'guide-no-short' }, h('h2', {}, 'No short circuit'), h('p', {}, all.no_short_circuit)));
}
