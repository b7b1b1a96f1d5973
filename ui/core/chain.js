// The chain behind a finding, from readings to number, as the server tells it (docs/json.md).
import { h } from './dom.js';
import { clockTime, measured, signed } from './numbers.js';
import { table } from './parts.js';
import { style } from './route.js';

const head = (link) => (link.title ? h('span', { class: 'chain-title' }, link.title) : null);

function fact(link) {
  return h('p', {}, head(link), link.title && link.words ? ': ' : '', link.words);
}

// The largest contributions first; the rest a key away.
function budget(link) {
  const rows = link.budget_rows ?? [];
  if (rows.length === 0) return null;
  return h('details', {}, h('summary', {}, link.largest ? `Its largest doubt: ${link.largest}` : 'What its uncertainty is made of'),
    table('Its uncertainty, by share of the variance', ['>Share', '>Standard uncertainty', 'Cause'], rows.map(([share, amount, cause]) => [signed(share), signed(amount), cause])));
}

function measure(link) {
  const known = link.measure?.value !== null;
  return h('div', {},
    h('p', {}, head(link), link.title ? ': ' : '', known ? h('strong', { class: 'measure' }, measured(link.measure)) : `cannot tell, ${link.measure?.cannot_tell ?? ''}`,
      link.words ? ` ${link.words}` : ''),
    budget(link));
}

function rows(link) {
  const heads = link.heads?.length ? link.heads : link.rows[0]?.map(() => '') ?? [];
  return table(link.title, heads, link.rows);
}

function readings(link, runOf) {
  const run = runOf(link.log);
  const stretch = Number.isFinite(link.from_s) ? `?from=${link.from_s}&to=${link.to_s}` : '';
  return h('p', {}, 'from ', run ? h('a', { href: `/run/${run}${stretch}` }, link.title) : link.title,
    Number.isFinite(link.from_s) ? `, ${clockTime(link.from_s)} to ${clockTime(link.to_s)}${link.first ? `, ${link.counted_in ?? 'readings'} ${link.first} to ${link.last}` : ''}` : '', link.words ? `: ${link.words}` : '');
}

const kinds = { words: (link) => h('p', {}, link.words), fact, measure, table: rows, readings };

// `runOf(log)`: the number of the run that a log of the assessment is, 0 for none.
export function chainView(chain, { runOf = () => 0 } = {}) {
  style('chain');
  return h('ol', { class: 'chain' }, chain.links.map((link) =>
    h('li', { class: link.inner ? 'inner' : null }, kinds[link.kind]?.(link, runOf) ?? fact(link))));
}

// The runs behind the logs of an assessment of the book: each log is called BOOK:RUN.
export const runsOfLogs = (assessment) => assessment.logs.map((log) => Number(/:(\d+)$/.exec(log.path)?.[1] ?? 0));

