// Every sample of the book: what was claimed, what was found, side by side.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator } from '../core/head.js';
import { keys } from '../core/keys.js';
import { listen } from '../core/live.js';
import { button, emptyState, field } from '../core/parts.js';
import { addressOf, note } from '../core/route.js';
import { onSetting } from '../core/settings.js';
import { rowList } from './shelf/list.js';
import { newSample } from './shelf/new_sample.js';
import { chosenRows, orders, states } from './shelf/order.js';
import { halfOf, halfWords } from './shelf/rung.js';

const most = 12; // the server compares no more at once
const settle = 500; // ms in which news are gathered before the shelf is asked for again

const options = (list, present) => list.map((one) => h('option', { value: one.word, selected: one.word === present }, one.name));

function emptyShelf(operator, go) {
  const steps = h('ol', {}, h('li', {}, 'Add a sample: one physical battery.'), h('li', {}, 'Type its label: what it claims.'),
    h('li', {}, 'Record its test at the bench, or add a log or readings taken by eye.'), h('li', {}, 'Read here what was found, claim by claim.'));
  const example = h('p', { class: 'soft' }, 'To see one with everything in it first, invented: ', h('code', {}, './try'), ' in the sources makes such a book and opens it.');
  return emptyState('No sample is in this book yet.', steps, example,
    operator ? h('p', { class: 'actions' }, button('New sample', () => newSample(go), { class: 'main' })) : h('p', {}, 'You may read here; an operator adds the first sample.'));
}

// The rows of before stay the same objects where nothing has changed, and their elements with them.
function renewed(before, rows) {
  const texts = new Map(before.map((row) => [row.sample, row]));
  return rows.map((row) => {
    const old = texts.get(row.sample);
    return old !== undefined && JSON.stringify(old) === JSON.stringify(row) ? old : row;
  });
}

const countWords = (shown, rows) => {
  const behind = rows.filter((row) => !row.fresh).length;
  const all = rows.length === 1 ? '1 sample' : `${rows.length} samples`;
  return `${shown === rows.length ? all : `${shown} of ${all}`}${behind > 0 ? `, ${behind} being assessed` : ''}`;
};

function scaleLine() {
  const ends = h('b', {});
  const line = h('p', { class: 'scale-line' }, 'The upright line is the claim; the bar is what was found, with its 95 % interval; left of the line it falls short; dashed, the test did not get that far. The ends stand at ', ends, '.');
  return { line, show: (half) => fill(ends, halfWords(half)) };
}

export async function page({ main, query, signal, go, title }) {
  title('Shelf');
  const wish = { text: query.get('words') ?? '', state: query.get('state') ?? 'all', order: query.get('order') ?? 'name' };
  const [operator, answer] = await Promise.all([isOperator(), get('/api/samples', signal)]);
  let rows = answer.samples;
  let chosen = [];
  const count = h('p', { class: 'soft', role: 'status' });
  const nothing = h('div', {});
  const scale = scaleLine();
  const compare = button('Compare', () => compareChosen(), { disabled: true });
  const list = rowList({ signal, onchoose(now) { chosen = now; showChosen(); } });
  const text = h('input', { type: 'search', value: wish.text, autocomplete: 'off', oninput: () => change('text', text.value) });
  const state = h('select', { onchange: () => change('state', state.value) }, options(states, wish.state));
  const order = h('select', { onchange: () => change('order', order.value) }, options(orders, wish.order));
  const tools = h('div', { class: 'fields shelf-tools no-print' }, field('Words', text), field('Which', state), field('Order', order),
    h('div', { class: 'actions' }, compare, operator ? button('New sample', () => newSample(go), { class: 'main' }) : null));
  const holder = h('div', {}, tools, count, scale.line, list.element, nothing);

  function showChosen() {
    compare.disabled = chosen.length < 2 || chosen.length > most;
    compare.textContent = chosen.length === 0 ? 'Compare' : chosen.length > most ? `Compare: at most ${most}` : `Compare ${chosen.length}`;
  }

  function compareChosen() {
    if (!compare.disabled) go(addressOf('/compare', { samples: chosen.map((row) => row.sample).join(',') }));
  }

  function draw() {
    if (rows.length === 0) {
      fill(main, h('h1', {}, 'Shelf'), emptyShelf(operator, go));
      return;
    }
    const wanted = chosenRows(rows, wish);
    const half = halfOf(rows);
    if (!main.contains(holder)) fill(main, h('h1', {}, 'Shelf'), holder);
    scale.show(half);
    list.show(wanted, half);
    fill(count, countWords(wanted.length, rows));
    fill(nothing, wanted.length > 0 ? null : emptyState('No sample is as asked for.', h('p', {}, button('Show all', clear))));
  }

  function change(what, value) {
    wish[what] = value;
    note(addressOf('/', { words: wish.text, state: wish.state === 'all' ? '' : wish.state, order: wish.order === 'name' ? '' : wish.order }));
    draw();
  }

  function clear() {
    text.value = wish.text = '';
    state.value = 'all';
    change('state', 'all');
    text.focus();
  }

  async function again() {
    const now = renewed(rows, (await get('/api/samples', signal)).samples);
    const there = new Set(now.map((row) => row.sample));
    list.forget(rows.map((row) => row.sample).filter((sample) => !there.has(sample)));
    rows = now;
    draw();
  }

  let timer = 0;
  const soon = () => {
    timer ||= setTimeout(() => {
      timer = 0;
      again().catch((fault) => { if (fault.name !== 'AbortError') fill(count, fault.message); });
    }, settle);
  };
  listen('book', soon, signal);
  listen('reload', soon, signal);
  signal.addEventListener('abort', () => clearTimeout(timer));
  onSetting(() => { rows = rows.map((row) => ({ ...row })); draw(); }, signal);
  text.addEventListener('keydown', (event) => {
    if (event.key === 'ArrowDown' || event.key === 'Enter') { event.preventDefault(); list.move(0); }
    if (event.key === 'Escape' && text.value !== '') { event.preventDefault(); clear(); }
  });
  keys([
    { key: 'ArrowDown', shown: '↓', name: 'The next sample', does: () => list.move(1) },
    { key: 'ArrowUp', shown: '↑', name: 'The sample before', does: () => list.move(-1) },
    { key: 'x', name: 'Choose the sample to compare, or not', does: () => list.choosePresent() },
    { key: 'c', name: 'Compare those chosen', does: compareChosen },
    { key: '/', name: 'Filter by words', does: () => text.focus() },
    ...(operator ? [{ key: 'n', name: 'New sample', does: () => newSample(go) }] : []),
  ], signal);
  draw();
}
