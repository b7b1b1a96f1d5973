// One recording, to be read from three metres: what it shows, what is expected, what was said, and what its operator
// does.
import { get, post } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { isOperator } from '../../core/head.js';
import { keys } from '../../core/keys.js';
import { button, confirmLoss, faultWords } from '../../core/parts.js';
import { choose, setting } from '../../core/settings.js';
import { say } from '../../core/undo.js';
import { after } from './after.js';
import { allowSound } from './sound.js';
import { keepAwake, sleepNote } from './awake.js';
import { drawCurve, fillCurve, growCurve, newCurve } from './curve.js';
import { entry } from './entry.js';
import { amounts, expected } from './expected.js';
import { figures } from './figures.js';
import { follow } from './follow.js';
import { outbox } from './outbox.js';
import { saidList } from './said.js';

const draw_ms = 250;
const commit_ms = 1200; // a line is in the book after a second at most
const marks = [
  { key: 'm', name: 'Put a mark', words: ['mark'] },
  { key: 'b', name: 'Mark: burst on, off', words: ['burst on', 'burst off'] },
  { key: 'l', name: 'Mark: load on, off', words: ['load on', 'load off'] },
  { key: 'h', name: 'Mark: sensor heated, left alone', words: ['sensor heated', 'sensor left alone'] },
];

// What the recorder says of its book.
export function bookWords(state) {
  if (state.unwritable) return `The book cannot be written: ${state.behind_s.toFixed(0)} s are held in memory, and tried again`;
  return state.committed ? 'all of it in the book' : `in the book but for the last ${state.behind_s.toFixed(1)} s`;
}

function statusWords(state) {
  return [
    state.state === 'recording' ? bookWords(state) : state.state, `${state.readings} readings`,
    state.lost > 0 ? `${state.lost} lost` : '',
    state.silent_instruments > 0 ? `${state.silent_instruments} of ${state.instruments} instruments silent` : '',
  ].filter(Boolean).join(' · ');
}

const capital = (words) => words[0].toUpperCase() + words.slice(1);

// A button says what its next press marks.
function markButtons(put) {
  return marks.map((mark) => {
    const name = h('span');
    const face = h('button', { type: 'button' }, name, ' ', h('kbd', {}, mark.key.toUpperCase()));
    let on = false;
    const draw = () => { name.textContent = capital(mark.words[on ? 1 : 0]); };
    const press = () => {
      put(mark.words[on ? 1 : 0], Date.now());
      on = mark.words.length > 1 && !on;
      draw();
    };
    // What was marked last says how it stands, whoever pressed.
    const stand = (all) => {
      const last = all.findLast((one) => one.said === 'mark' && !one.taken_back && mark.words.includes(one.text));
      if (last) on = mark.words.length > 1 && last.text === mark.words[0];
      draw();
    };
    draw();
    face.addEventListener('click', press);
    return { ...mark, face, press, stand };
  });
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

async function endIt(run) {
  const sure = await confirmLoss('End the recording?', `Run ${run} is then closed and assessed. It cannot go on afterwards.`, 'End it');
  if (!sure) return;
  try {
    await post(`/api/recordings/${run}/end`);
  } catch (fault) {
    say(faultWords(fault));
  }
}

function operatorParts(run, said, signal) {
  const hand = entry((line, pressed_ms) => { hand.clear(); put(line, pressed_ms); });
  const put = outbox(run, { stored: said.stored, waiting: hand.waiting, refused: hand.refused }, signal);
  const buttons = markButtons(put);
  keys([...buttons.map(({ key, name, press }) => ({ key, name, does: press })),
    { key: 'r', name: 'Readings by eye', does: hand.focus },
    { key: 'w', name: 'A mark in words', does: hand.focusLine },
    { key: 'u', name: 'Take back the last line', does: said.takeBackLast },
    { key: 'e', name: 'End the recording', does: () => endIt(run) }], signal);
  return {
    hand, buttons,
    marks: h('div', { class: 'actions marks', role: 'group', 'aria-label': 'Marks' }, buttons.map(({ face }) => face),
      h('button', { type: 'button', class: 'loss end', onclick: () => endIt(run) }, 'End the recording ', h('kbd', {}, 'E'))),
  };
}

function headOf(state) {
  return [h('h1', {}, state.sample_name), h('p', { class: 'soft run-line' },
    `${state.kind}, run ${state.recording}`, state.rehearsed ? `, rehearsed at ${state.rate} times life` : '',
    state.by_eye && !state.rehearsed ? ', typed by eye' : '', ' ', state.invented ? h('span', { class: 'invented' }, 'Invented data') : null)];
}

export async function watchRecording({ main, run, signal, title }) {
  const operator = await isOperator();
  const curve = newCurve();
  const big = figures(['v', 'a', 'w', 'ah', 'wh', 't']);
  const said = saidList(run, operator);
  const place = Object.fromEntries(['head', 'status', 'amounts', 'expected', 'curve', 'after', 'left'].map((word) => [word, h('div', { class: `bench-${word}` })]));
  const parts = operator ? operatorParts(run, said, signal) : null;
  const wall = h('div', { class: 'wall' }, h('div', { class: 'figures' }, big.elements), said.calls, place.amounts, place.status, place.curve, place.expected);
  let latest = null;
  let ended = '';
  const showNow = () => {
    big.show(latest);
    place.status.textContent = statusWords(latest);
    place.status.classList.toggle('urgent', latest.unwritable);
    amounts(place.amounts, latest);
  };
  const draw = () => {
    if (latest === null) return;
    showNow();
    expected(place.expected, latest);
    drawCurve(place.curve, curve, latest);
  };
  const settle = (state) => {
    const now = `${state.state}${state.trouble?.held ?? ''}`;
    if (now === ended) return;
    ended = now;
    const running = state.state === 'recording';
    parts?.marks.toggleAttribute('hidden', !running);
    parts?.hand.element.toggleAttribute('hidden', !running);
    if (running) return;
    said.over();
    after(place.after, state);
  };
  // Out of the book, whole: typed lines, and what was taken back.
  const readCurve = async () => {
    const read = await get(`/api/recordings/${run}/curve`, signal);
    if (latest.by_eye) Object.assign(curve, newCurve());
    fillCurve(curve, read);
    draw();
  };
  let readSoon = 0;
  const on = {
    state: (state) => { latest = state; if (!state.by_eye) growCurve(curve, state); showNow(); settle(state); },
    said: (one) => {
      said.take(one, true);
      if (one.said === 'mark') parts?.buttons.forEach(({ stand }) => stand([one]));
      clearTimeout(readSoon);
      if (latest.by_eye) readSoon = setTimeout(() => readCurve().catch(() => {}), commit_ms);
    },
    fresh: async (state) => {
      said.fresh(state);
      parts?.buttons.forEach(({ stand }) => stand(state.said));
      await readCurve();
    },
  };
  await follow(run, on, signal);
  title(`${latest.sample_name}, run ${run}`);
  fill(place.head, headOf(latest));
  if (latest.left_open) fill(place.left, h('p', {}, `Run ${latest.left_open} of this sample was left open. `, h('a', { href: '/bench?new' }, 'Go on with it')));
  allowSound(signal);
  const awake = keepAwake(signal);
  keys([{ key: 'f', name: 'Figures over the whole screen', does: () => fullScreen(wall) }], signal);
  fill(main, place.head, place.left, wall, place.after, parts?.marks, parts?.hand.element,
    h('section', {}, h('h2', {}, 'Said so far'), said.list),
    h('p', { class: 'actions page-tools no-print' }, button('Whole screen', () => fullScreen(wall), { class: 'quiet' }), soundButton(),
      h('a', { href: `/film?run=${run}` }, 'Figures for a film')), awake ? null : sleepNote());
  draw();
  // behind the page's own focus; not where that would raise a keyboard over the figures
  if (latest.by_eye && operator && !matchMedia('(pointer:coarse)').matches) setTimeout(parts.hand.focus);
  const timer = setInterval(draw, draw_ms);
  signal.addEventListener('abort', () => clearInterval(timer));
}
