// Several samples on shared axes. The figures are those of `rundown compare`, drawn by the server for the room there is.
import { get, getText } from '../core/ask.js';
import { figureOf, fill, h } from '../core/dom.js';
import { keys } from '../core/keys.js';
import { listen } from '../core/live.js';
import { significant, signed, temperature } from '../core/numbers.js';
import { emptyState, faultBox, table } from '../core/parts.js';
import { addressOf } from '../core/route.js';

const figures = [
  { word: 'curves', name: 'Volts against the charge delivered', wide: true },
  { word: 'price', name: 'Delivered energy against price' },
  { word: 'mass', name: 'Delivered energy against mass' },
  { word: 'volume', name: 'Delivered energy against volume' },
  { word: 'resistance', name: 'Resistance' },
  { word: 'verdicts', name: 'Verdicts', wide: true },
];
const least = 280;
const most = 2400;
const settle = 250; // ms

const verdicts = ['met', 'not met', 'too close to call', 'not exercised', 'not tested'];
const quantities = [
  ['Delivered charge', 'charge_ah'], ['Delivered energy', 'energy_wh'], ['Resistance', 'resistance_ohm'], ['Mass', 'mass_kg'], ['Volume', 'volume_l'],
  ['Energy for the price', 'wh_per_price'], ['Energy for the mass', 'wh_per_kg'], ['Energy for the volume', 'wh_per_l'],
];

function numbersTable(samples) {
  const of = (name, cell) => [name, ...samples.map(cell)];
  const stated = (value, unit) => (value === undefined ? '–' : `${signed(value)}\u00a0${unit}`);
  const asClaimed = (sample, key) => ((key === 'mass_kg' && sample.mass_as_claimed) || (key === 'volume_l' && sample.volume_as_claimed) ? ' as claimed' : '');
  const rows = [
    of('Claimed charge', ({ claimed }) => stated(claimed.charge_ah, 'Ah')),
    of('Claimed energy', ({ claimed }) => stated(claimed.energy_wh, 'Wh')),
    ...quantities.map(([name, key]) => of(name, (sample) => (sample.found[key] ? signed(sample.found[key].words) + asClaimed(sample, key) : '–'))),
    of('Price', ({ price, currency }) => stated(price, currency)),
    ...verdicts.map((verdict) => of(`Claims ${verdict}`, (sample) => String(sample.verdicts[verdict] ?? 0))),
    of('Mean current', ({ test }) => significant(test?.mean_a, 4, 'A')),
    of('Multiple of the rating', ({ test }) => significant(test?.rate_it, 3, 'It')),
    of('Mean temperature', ({ test }) => temperature(test?.mean_degc)),
    of('Ended by', ({ test }) => test?.ended_by ?? '–'),
    of('Last volts under load', ({ test }) => significant(test?.end_v, 4, 'V')),
    of('Thin evidence', ({ thin }) => thin ?? '–'),
  ];
  return table('All numbers; what was found has its 95 % interval', ['', ...samples.map((sample) => `>${sample.name}`)], rows, { class: 'compared' });
}

function conditions(list) {
  if (list.length === 0) return h('p', { class: 'soft' }, 'Nothing says that their tests were not made alike.');
  return h('div', { class: 'caution', role: 'note' }, h('p', {}, h('strong', {}, 'Not tested alike')), list.length === 1 ? h('p', {}, list[0]) : h('ul', {}, list.map((words) => h('li', {}, words))));
}

function namesLine(samples, leave) {
  return h('ul', { class: 'compared-names' }, samples.map((sample) => h('li', {},
    h('a', { href: `/sample/${sample.sample}` }, sample.name), sample.invented ? h('span', { class: 'soft' }, ' invented') : null,
    samples.length > 2 ? h('a', { class: 'no-print leave', href: leave(sample), 'aria-label': `Leave out ${sample.name}` }, 'leave out') : null)));
}

// What agrees and what differs between opened cases, without a verdict on where they come from.
function likenessView(list, samples) {
  const nameOf = (number) => samples.find((sample) => sample.sample === number)?.name ?? '';
  return list.map(({ first, second, agree, differ, one_only: oneOnly, rows }) => [
    h('h2', {}, `Opened: ${nameOf(first)} beside ${nameOf(second)}`),
    h('p', {}, `${agree} agree, ${differ} differ, ${oneOnly} seen in one only. What agrees says that they are built alike, and not where they come from.`),
    table('What was seen in both', ['What', 'Alike', nameOf(first), nameOf(second)], rows.map((row) => [row.what, row.alike, row.first || '–', row.second || '–']))]);
}

function figureBox({ word, name, wide }, wanted) {
  const drawn = h('div', { class: 'drawn', role: 'group', 'aria-label': name });
  const save = (form) => h('a', { href: addressOf('/api/compare/figure', { samples: wanted, figure: word, form }), download: '' }, form.toUpperCase());
  const element = h('figure', { class: wide ? 'wide' : '' }, h('figcaption', {}, h('h2', {}, name), h('span', { class: 'no-print soft' }, 'Save as ', save('svg'), ' or ', save('png'))), drawn);
  return { word, drawn, element, width: 0 };
}

async function drawFigure(box, wanted, signal, anew) {
  const width = Math.round(Math.min(Math.max(box.drawn.clientWidth, least), most));
  if (width === box.width && !anew) return;
  box.width = width;
  try {
    fill(box.drawn, figureOf(await getText(addressOf('/api/compare/figure', { samples: wanted, figure: box.word, form: 'part', width }), signal)));
  } catch (fault) {
    if (fault.name !== 'AbortError') fill(box.drawn, faultBox(fault));
  }
}

export async function page({ main, query, signal, title }) {
  title('Compare');
  const wanted = query.get('samples') ?? '';
  const ids = wanted.split(',').filter(Boolean);
  if (ids.length < 2) {
    fill(main, h('h1', {}, 'Compare'), emptyState('Two samples or more are compared.', h('p', {}, 'Choose them on the ', h('a', { href: '/' }, 'shelf'), ': tick each, or press x on it, then Compare.')));
    return;
  }
  const top = h('div', {});
  const boxes = figures.map((figure) => figureBox(figure, wanted));
  const numbers = h('details', {}, h('summary', {}, 'All numbers as a table'));
  const opened = h('section', {});
  const leave = (sample) => addressOf('/compare', { samples: ids.filter((id) => Number(id) !== sample.sample).join(',') });

  const drawings = h('div', { class: 'compare-figures' }, boxes.map((box) => box.element));

  async function readNumbers() {
    drawings.hidden = numbers.hidden = true; // what cannot be compared is said once
    try {
      const { samples, conditions: unlike, likeness } = await get(addressOf('/api/compare', { samples: wanted }), signal);
      fill(numbers, h('summary', {}, 'All numbers as a table'), numbersTable(samples));
      fill(top, namesLine(samples, leave), conditions(unlike));
      fill(opened, likenessView(likeness, samples));
      drawings.hidden = numbers.hidden = false;
    } catch (fault) {
      if (fault.name !== 'AbortError') fill(top, fault.file ? h('p', {}, fault.file) : null, faultBox(fault));
    }
  }

  const draw = (anew) => { if (!drawings.hidden) for (const box of boxes) drawFigure(box, wanted, signal, anew); };
  fill(main, h('h1', {}, 'Compare'), top, drawings, opened, numbers);
  let timer = 0;
  const soon = (what) => { clearTimeout(timer); timer = setTimeout(what, settle); };
  const room = new ResizeObserver(() => soon(() => draw(false)));
  room.observe(main);
  const again = (news) => {
    if (news === null || (ids.includes(String(news.sample)) && news.what !== 'digest')) soon(async () => { await readNumbers(); draw(true); });
  };
  listen('book', again, signal);
  listen('reload', again, signal);
  signal.addEventListener('abort', () => { room.disconnect(); clearTimeout(timer); });
  keys([{ key: 't', name: 'All numbers as a table', does: () => { numbers.open = !numbers.open; if (numbers.open) numbers.scrollIntoView(); } }], signal);
  await readNumbers();
  draw(true);
}
