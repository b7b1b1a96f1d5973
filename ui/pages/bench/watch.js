// One recording, to be read from three metres: what it shows, what is expected, what was said, and what its operator
// does.
import { get } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { isOperator } from '../../core/head.js';
import { keys } from '../../core/keys.js';
import { clockTime, fixed } from '../../core/numbers.js';
import { button, emptyState, openDialog, table } from '../../core/parts.js';
import { choose, setting } from '../../core/settings.js';
import { after } from './after.js';
import { keepAwake, sleepNote } from './awake.js';
import { curveRows, drawCurve, fillCurve, growCurve, newCurve } from './curve.js';
import { amounts, expected } from './expected.js';
import { figures } from './figures.js';
import { asOfNow, follow } from './follow.js';
import { leftOpen } from './left_open.js';
import { operatorParts } from './operator.js';
import { saidList } from './said.js';
import { allowSound } from './sound.js';

const draw_ms = 250;
const commit_ms = 1200; // a line is in the book after a second at most
// What the recorder says of its book.
export function bookWords(state) {
  if (state.unwritable) return `The book cannot be written: ${state.behind_s.toFixed(0)} s are held in memory, and tried again`;
  return state.committed ? 'all of it in the book' : `in the book but for the last ${state.behind_s.toFixed(1)} s`;
}

function stateWords(state) {
  if (state.state === 'recording') return bookWords(state);
  return state.state === 'silent' ? `No news from the recorder for ${state.silent_s.toFixed(0)} s` : state.state;
}

function statusWords(state) {
  return [
    stateWords(state), `${state.readings} reading${state.readings === 1 ? '' : 's'}`,
    state.lost > 0 ? `${state.lost} lost` : '',
    state.silent_instruments > 0 ? `${state.silent_instruments} of ${state.instruments} instruments silent` : '',
  ].filter(Boolean).join(' · ');
}

function soundButton() {
  const face = button('', () => { choose('sound', setting('sound') === 'on' ? 'off' : 'on'); draw(); }, { class: 'quiet' });
  const draw = () => { face.textContent = `Sound of calls: ${setting('sound')}`; };
  draw();
  return face;
}

function fullScreen(element) {
  if (document.fullscreenElement) document.exitFullscreen();
  else element.requestFullscreen?.();
}

function headOf(state) {
  return [h('h1', {}, state.sample_name), h('p', { class: 'soft run-line' },
    `${state.kind}, run ${state.recording}`, state.rehearsed ? `, rehearsed at ${state.rate} times life` : '',
    state.by_eye && !state.rehearsed ? ', typed by eye' : '', ' ', state.invented ? h('span', { class: 'invented' }, 'Invented data') : null),
  state.left_open ? h('p', {}, `Run ${state.left_open} of this sample was left open. `, h('a', { href: '/bench?new' }, 'Go on with it')) : null];
}

// What is shown of a recording, and how it is kept up.
function viewOf(run, operator, signal) {
  const curve = newCurve();
  const big = figures(['v', 'a', 'w', 'ah', 'wh', 't']);
  const said = saidList(run, operator);
  const parts = operator ? operatorParts(run, said, signal) : null;
  const place = Object.fromEntries(['head', 'status', 'amounts', 'expected', 'curve', 'after'].map((word) => [word, h('div', { class: `bench-${word}` })]));
  const wall = h('div', { class: 'wall' }, h('div', { class: 'figures' }, big.elements), said.calls, place.amounts, place.status, place.curve, place.expected);
  let latest = null;
  const view = {
    place, wall, said, parts,
    now: () => latest,
    curve: () => curve,
    hear: (state) => {
      latest = state;
      if (!state.by_eye) growCurve(curve, state); // typed values stand between their lines: only those are points
      view.show();
    },
    show: () => {
      const state = asOfNow(latest);
      big.show(state);
      place.status.textContent = statusWords(state);
      place.status.classList.toggle('urgent', state.unwritable || state.state === 'silent');
      amounts(place.amounts, state);
    },
    draw: () => {
      if (latest === null) return;
      view.show();
      expected(place.expected, latest);
      drawCurve(place.curve, curve, latest);
    },
    // Out of the book, whole: typed lines, and without what was taken back.
    readCurve: async () => {
      const read = await get(`/api/recordings/${run}/curve`, signal);
      if (latest.by_eye) Object.assign(curve, newCurve());
      fillCurve(curve, read);
      view.draw();
    },
  };
  return view;
}

// The parts that come and go with the state of the recording.
function stateKeeper(view) {
  let before = '';
  return (state) => {
    const now = `${state.state}${state.trouble?.held ?? ''}`;
    if (now === before) return;
    before = now;
    const running = state.state === 'recording';
    view.parts?.running(running);
    if (running) {
      fill(view.place.after);
      return;
    }
    view.said.over();
    after(view.place.after, state);
  };
}

function listeners(view, run, operator, go) {
  const settle = stateKeeper(view);
  let readSoon = 0;
  return {
    state: (state) => { view.hear(state); settle(state); },
    said: (one) => {
      view.said.take(one, true);
      if (one.said === 'mark') view.parts?.stand(view.said.all());
      clearTimeout(readSoon);
      if (view.now()?.by_eye) readSoon = setTimeout(() => view.readCurve().catch(() => {}), commit_ms);
    },
    fresh: async (state) => {
      view.said.fresh(state);
      view.parts?.stand(state.said);
      await view.readCurve();
    },
    gone: async () => {
      view.parts?.running(false);
      view.said.over();
      fill(view.place.after, await goneWords(run, operator, go));
    },
  };
}

// The server that recorded it was stopped, or it ended long ago.
async function goneWords(run, operator, go) {
  const { left_open } = await get('/api/bench');
  const mine = left_open.filter((one) => one.run === run);
  return mine.length > 0 ? leftOpen(mine, operator, go)
    : h('p', {}, `Run ${run} is not being recorded. `, h('a', { href: `/run/${run}` }, 'To its page'));
}

const span = (pair, digits) => (pair === undefined ? '–' : pair[0] === pair[1] ? fixed(pair[0], digits) : `${fixed(pair[0], digits)} to ${fixed(pair[1], digits)}`);

function curveTable(view) {
  const rows = curveRows(view.curve());
  openDialog('The curve in numbers', rows.length === 0 ? emptyState('Nothing has been read yet.')
    : table('Least and most of each part', ['From', '>Volts', '>Amps'], rows.map((row) => [clockTime(row.from_s), span(row.voltage_v, 3), span(row.current_a, 2)])));
}

function tools(view, run) {
  return h('p', { class: 'actions page-tools no-print' }, button('Whole screen', () => fullScreen(view.wall), { class: 'quiet' }), soundButton(), button('The curve in numbers', () => curveTable(view), { class: 'quiet' }),
    h('a', { href: `/film?run=${run}` }, 'Figures for a film'));
}

export async function watchRecording({ main, run, signal, go, title }) {
  const operator = await isOperator();
  const view = viewOf(run, operator, signal);
  await follow(run, listeners(view, run, operator, go), signal);
  const state = view.now();
  if (state === null) {
    title('Bench');
    fill(main, h('h1', {}, 'Bench'), view.place.after);
    return;
  }
  title(`${state.sample_name}, run ${run}`);
  fill(view.place.head, headOf(state));
  allowSound(signal);
  const awake = keepAwake(signal);
  keys([{ key: 'f', name: 'Figures over the whole screen', does: () => fullScreen(view.wall) },
    { key: 't', name: 'The curve in numbers', does: () => curveTable(view) }], signal);
  fill(main, view.place.head, view.wall, view.place.after, view.parts?.elements,
    h('section', {}, h('h2', {}, 'Said so far'), view.said.list), tools(view, run), awake ? null : sleepNote());
  view.draw();
  // behind the page's own focus; not where that would raise a keyboard over the figures
  if (state.by_eye && operator && !matchMedia('(pointer:coarse)').matches) setTimeout(view.parts.focus);
  const timer = setInterval(view.draw, draw_ms);
  signal.addEventListener('abort', () => clearInterval(timer));
}
