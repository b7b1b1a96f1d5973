// Test sheets: one to follow for each test by hand, with the numbers of a sample where one is named.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { samplePlaces } from '../core/head.js';
import { button } from '../core/parts.js';
import { addressOf } from '../core/route.js';

const toTick = new Set(['needs', 'prepare', 'note', 'steps']);

// What is ticked stays while the tab does, over a reload too: a phone at the bench sleeps.
function tickBox(key, name) {
  const place = `tick ${key}`;
  return h('input', { type: 'checkbox', 'aria-label': name, checked: sessionStorage.getItem(place) !== null,
    onchange: (event) => (event.target.checked ? sessionStorage.setItem(place, '') : sessionStorage.removeItem(place)) });
}

function lineView(part, { words, mark }, key, k) {
  if (!toTick.has(part)) return h('li', {}, words);
  const name = part === 'steps' ? `Step ${k + 1} done` : null;
  return h('li', {}, h('label', {}, tickBox(`${key} ${part} ${k}`, name), h('span', {}, words)),
    mark ? h('p', { class: 'guide-mark' }, 'mark: ', h('kbd', {}, mark)) : null);
}

const partView = ({ part, heading, lines }, key) => h('section', { class: `guide-part guide-${part}` }, h('h3', {}, heading),
  h(part === 'steps' ? 'ol' : 'ul', { class: toTick.has(part) ? 'guide-ticks' : null }, lines.map((line, k) => lineView(part, line, key, k))));

const numbers = (list) => h('section', { class: 'guide-part guide-numbers' }, h('h3', {}, 'Numbers of this sample'),
  h('table', {}, h('tbody', {}, list.map(({ what, words, from }) =>
    h('tr', {}, h('th', { scope: 'row' }, what), h('td', {}, h('strong', {}, words)), h('td', { class: 'soft' }, from))))));

const sheetList = ({ guides }, test, sample) => h('nav', { class: 'guide-list no-print', 'aria-label': 'Sheets' }, h('ul', {}, guides.map((one) =>
  h('li', {}, h('a', { href: addressOf('/guides', { sample, test: one.test }), 'aria-current': one.test === test ? 'page' : null }, one.title),
    one.names.length > 0 ? h('span', { class: 'soft' }, one.names.join(', ')) : null))));

// Beside a sheet that is followed the list is folded away.
const chosen = (all, test, sample) => (test === '' ? sheetList(all, test, sample)
  : h('details', { class: 'no-print' }, h('summary', {}, 'Other sheets'), sheetList(all, test, sample)));

function sheet(guide, sample) {
  const pdf = (words, paper) => h('a', { href: addressOf(`/api/guides/${guide.test}/sheet.pdf`, { sample, paper }), download: `${guide.test}.pdf` }, words);
  const key = `${sample ?? ''} ${guide.test}`;
  const article = h('article', { class: 'guide' }, h('h2', {}, guide.title),
    h('p', { class: 'soft' }, `Recorded as a run of the kind ${guide.kind}. `,
      h('span', { class: 'no-print' }, h('a', { href: addressOf('/bench', { sample, kind: guide.kind }) }, 'Begin the recording'), '. To print: ', pdf('PDF, A4'), ', ', pdf('PDF, Letter'), '. ',
        button('Clear the ticks', clear, { class: 'quiet' }))));
  const draw = () => fill(parts, numbers(guide.numbers), guide.parts.map((part) => partView(part, key)));
  const parts = h('div', { class: 'guide-parts' });
  function clear() {
    for (const place of Object.keys(sessionStorage)) if (place.startsWith(`tick ${key} `)) sessionStorage.removeItem(place);
    draw();
  }
  draw();
  article.append(parts);
  return article;
}

export async function page({ main, query, signal, title }) {
  const sample = query.get('sample') ?? undefined;
  const test = query.get('test') ?? '';
  const [all, guide] = await Promise.all([get(addressOf('/api/guides', { sample }), signal),
    test ? get(addressOf(`/api/guides/${encodeURIComponent(test)}`, { sample }), signal) : null]);
  const heading = all.sample ? `Test sheets: ${all.sample}` : 'Test sheets';
  title(guide ? `${guide.title}${all.sample ? `: ${all.sample}` : ''}` : heading);
  fill(main, h('h1', {}, heading), sample ? samplePlaces(sample, 'guides') : null,
    guide?.invented ? h('p', { class: 'invented' }, 'Invented data') : null,
    sample ? null : h('p', { class: 'soft no-print' }, 'For tests by hand, without the numbers of a sample. Those of a sample are reached from its own page.'),
    chosen(all, test, sample), guide ? sheet(guide, sample) : null,
    h('section', { class: 'no-print' }, h('h2', {}, 'No short circuit'), h('p', {}, all.no_short_circuit)));
}
