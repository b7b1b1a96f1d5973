// What a file is taken for: its columns, each to be set right, what is asked before it can be read, its first rows and
// those that cannot be read, and what it comes to.
import { get, patch } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { clockTime, fixed, signed } from '../../core/numbers.js';
import { draftOf, faultText, sentence } from '../../core/paper_editor.js';
import { button, faultBox, progressLine, table } from '../../core/parts.js';
import { addressOf, go } from '../../core/route.js';
import { followTask, stopTask } from '../../core/task.js';
import { columnTable } from './columns.js';
import { keepForm, readingsDraft } from './keep.js';
import { periodLine, question, signQuestion } from './question.js';

const delimiters = { ',': 'comma', ';': 'semicolon', '\t': 'tab', ' ': 'blank', '|': 'bar' };
const plain = (number) => signed(String(Number(number.toPrecision(3))));
const size = (bytes) => bytes < 1000 ? `${bytes} bytes` : bytes < 1e6 ? `${plain(bytes / 1e3)} kB` : `${plain(bytes / 1e6)} MB`;
const count = (number, one, many) => `${number.toLocaleString('en').replaceAll(',', '\u202f')} ${number === 1 ? one : many}`;

const layoutLine = (drop) => [
  size(drop.bytes), drop.encoding, `${delimiters[drop.delimiter] ?? drop.delimiter} between cells`,
  `decimal ${drop.decimal === ',' ? 'comma' : 'point'}`, drop.header_line > 0 ? `header in line ${drop.header_line}` : 'no header',
].join(' · ');

function facts(drop) {
  const list = [
    ['Readings', count(drop.readings, 'row', 'rows') + (drop.left_out > 0 ? `, and ${count(drop.left_out, 'row that cannot be read and is', 'rows that cannot be read and are')} left out` : '')],
    ['Begins', drop.start ?? 'no date in the log'],
    ['Lasts', `${clockTime(drop.lasts_s)} h${drop.interval_s === null ? '' : `, a reading every ${plain(drop.interval_s)} s`}`],
    ['Gaps', drop.gaps > 0 ? `${count(drop.gaps, 'gap', 'gaps')} of more than ten intervals${drop.longest_gap_s ? `, the longest ${clockTime(drop.longest_gap_s)} h` : ''}` : 'none of more than ten intervals'],
    ['Current', [drop.sign.words || (drop.sign.known ? '' : 'which way it counts is not known'), drop.sign.why].filter(Boolean).join(': ')],
    drop.missing_cells > 0 ? ['Missing', count(drop.missing_cells, 'cell', 'cells')] : null,
    drop.marks > 0 ? ['Marks', fixed(drop.marks, 0)] : null,
  ].filter(Boolean);
  return h('dl', {}, list.map(([name, words]) => h('div', {}, h('dt', {}, name), h('dd', {}, words))));
}

function firstRows(drop) {
  const used = drop.columns.filter((one) => one.word !== 'unused');
  const shown = used.length > 0 ? used : drop.columns.slice(0, 12);
  return h('details', {}, h('summary', {}, `The first ${drop.first.length} rows`),
    table('As they stand in the file', ['>Line', ...shown.map((one) => `>${one.header || `column ${one.number}`}`)],
      drop.first.map((row) => [row.line, ...shown.map((one) => row.cells[one.number - 1])])));
}

function badRows(drop) {
  if (!drop.left_out) return null;
  const more = drop.left_out > drop.bad.length ? `, the first ${drop.bad.length} of ${drop.left_out}` : '';
  return h('details', { open: drop.left_out <= 8 }, h('summary', {}, `Rows that cannot be read${more}`),
    table('Left out, and why', ['>Line', '>Column', 'Cell', 'Why'],
      drop.bad.map((row) => [row.line, row.column || '', row.text, row.why])));
}

// The options of the command line that some name are the table of columns here.
const withoutOptions = (words) => words.replace(/\s*--\w[^.]*\.(?=\s|$)/g, '');
const notices = (drop) => (drop.notices ?? []).length === 0 ? null
  : h('ul', { class: 'drop-notices' }, drop.notices.map((one) => h('li', {}, withoutOptions(one.text))));

// A file of typed readings: line beside what it was taken for; set right in the editor.
function typed(drop, file, sample) {
  const mend = async () => {
    draftOf(readingsDraft(sample)).keep(await file.text());
    go(addressOf('/add', { sample, type: 'readings' }));
  };
  return [
    h('p', {}, `Readings typed by eye, ${size(drop.bytes)}.`),
    drop.fault ? h('div', { class: 'fault', role: 'alert' }, h('ul', { class: 'paper-faults' }, drop.faults.map((one) => h('li', {}, `${one.line ? `Line ${one.line}: ` : ''}${faultText(one)}`)))) : null,
    h('p', { class: 'actions' }, button('Open it in the editor', mend)),
    table('What each line was taken for', ['>Line', 'Taken for'], drop.lines.filter((one) => one.kind !== 'remark' && one.kind !== 'fault')
      .map((one) => [one.line, one.taken || one.kind])),
  ];
}

const whyNot = (drop) => drop.fault ? 'First settle what is asked above.'
  : !drop.whole ? 'The file is still being read.'
  : drop.sign && !drop.sign.known ? 'First say which way the current counts.' : '';

// Files in UTF-16 are turned here; the server reads UTF-8.
async function turned(file) {
  const bytes = await file.arrayBuffer();
  const big = new Uint8Array(bytes, 0, 2)[0] === 0xFE;
  return new File([new TextDecoder(big ? 'utf-16be' : 'utf-16le').decode(bytes)], file.name, { type: 'text/plain' });
}

const unreadable = (drop, file, again) => [
  faultBox({ message: sentence(drop.fault.what), remedy: sentence(drop.fault.remedy) }),
  drop.fault.what.includes('UTF-16') ? h('p', { class: 'actions' }, button('Turn it into UTF-8 and read that', async () => again(await turned(file)))) : null,
];

const log = (drop, wishes, wish) => [
  h('p', { class: 'soft' }, layoutLine(drop)),
  drop.fault ? question(drop, wish) : null,
  drop.sign && (!drop.sign.known || wishes.sign) ? signQuestion(drop, wishes, wish) : null,
  wishes.period && !drop.fault ? periodLine(wishes, wish) : null,
  drop.columns ? columnTable(drop, wishes, wish) : null,
  drop.readings !== undefined ? facts(drop) : null,
  notices(drop), drop.first ? firstRows(drop) : null, badRows(drop),
];

// `again(file)`: another file in place of this one.
export function preview({ file, drop, bench, sample, signal, stored, letGo, again }) {
  const body = h('div', {});
  const busy = h('div', { 'aria-live': 'polite' });
  const keep = keepForm({ bench, asked: sample, name: drop.name, signal, stored, drop: async () => drop.drop });
  let wishes = { columns: [], period: null, sign: null };
  let turn = 0;

  // The same control has the focus again after all has been drawn anew.
  function redraw() {
    const before = document.activeElement;
    const within = body.contains(before);
    const held = before?.dataset?.hold;
    draw();
    if (!within) return;
    const next = (held ? body.querySelector(`[data-hold="${held}"]`) : null) ?? body.querySelector('.question button') ?? title;
    next.focus();
  }

  // What cannot be read is no wish; of several the last counts, whichever is answered first.
  async function wish(change) {
    const next = { ...wishes, ...change(wishes) };
    const mine = ++turn;
    try {
      const answer = await patch(`/api/drops/${drop.drop}`, next);
      if (mine !== turn) return;
      wishes = next;
      drop = answer;
      redraw();
    } catch (fault) {
      if (mine === turn) fill(busy, faultBox(fault));
    }
  }

  async function follow() {
    const { task } = drop;
    const bar = progressLine('Reading all of it', () => stopTask(task));
    fill(busy, bar);
    try {
      await followTask(task, bar.show, signal);
      if (drop.task !== task) return;
      drop = await get(`/api/drops/${drop.drop}`, signal);
      redraw();
    } catch (fault) {
      if (drop.task === task && !signal.aborted)
        fill(busy, faultBox(fault), button('Read it again', () => wish(() => ({}))));
    }
  }

  function draw() {
    fill(busy);
    fill(body, drop.form === 'readings' ? typed(drop, file, sample) : drop.encoding ? log(drop, wishes, wish) : unreadable(drop, file, again));
    keep.element.hidden = drop.form === 'log' && !drop.encoding;
    const why = whyNot(drop);
    keep.ready(why === '', why);
    if (drop.task > 0) follow();
  }

  const title = h('h2', { tabindex: '-1' }, drop.name, drop.invented ? h('span', { class: 'invented' }, 'invented data') : null);
  draw();
  return h('article', { class: 'preview' }, title,
    body, busy, keep.element, h('p', { class: 'actions' }, button('Let this file go', letGo, { class: 'quiet' })));
}
