// Plan: can this be decided, with which rig and loads; then the protocol, followed step by step.
import { get, post } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator, samplePlaces } from '../core/head.js';
import { keys } from '../core/keys.js';
import { listen } from '../core/live.js';
import { button, emptyState, faultBox } from '../core/parts.js';
import { addressOf, note } from '../core/route.js';
import { say } from '../core/undo.js';
import { choiceForm } from './plan/choices.js';
import { claimRows, sentence } from './plan/claims.js';
import { protocol } from './plan/protocol.js';
import { queryOf, startOf, wishOf } from './plan/wish.js';

const rungWidth = () => (innerWidth < 560 ? Math.max(280, Math.min(innerWidth - 30, 480)) : 400);

function savedLine(state, save) {
  const { saved } = state.shown;
  if (saved.document !== null && saved.as_shown)
    return h('p', { class: 'soft no-print' }, 'Saved. A recording calls out its burst, and the assessment names where the run departed from it.');
  if (!state.operator) return h('p', { class: 'soft no-print' }, 'Shown, not saved: an operator saves the plan.');
  return h('p', { class: 'actions' }, button('Save this plan', save, { class: 'main' }),
    h('span', { class: 'soft' }, saved.document === null ? 'Then its steps can be ticked, and the run is held against it.'
      : 'It differs from the plan that was saved; the older version is kept.'));
}

const inShort = (draw) => (draw.power_w === null ? null
  : `${draw.loads}, about ${Math.round(draw.power_w)} W, ${Math.round(draw.current_a)} A`);

const notices = (list) => (list.length === 0 ? null : h('details', { class: 'no-print' },
  h('summary', {}, `${list.length} notice${list.length > 1 ? 's' : ''} about the papers`), h('ul', {}, list.map((words) => h('li', {}, words)))));

function facts(plan) {
  const lines = [['Base load', inShort(plan.base)], ['Burst', inShort(plan.burst)], ['Peak', inShort(plan.peak)],
    ['Length', plan.duration_s === null ? null : `about ${(plan.duration_s / 3600).toFixed(1)} h if it holds its rating`]];
  return h('dl', { class: 'plan-facts' }, lines.filter(([, words]) => words !== null)
    .map(([name, words]) => h('div', {}, h('dt', {}, name), h('dd', {}, words))));
}

// Once the first step is done, the steps come first.
const running = ({ saved }) => saved.as_shown && saved.done.some((at) => at !== null);

const claims = ({ shown, number }) => h('section', { class: 'plan-claims' }, h('h2', {}, 'Can it be decided?'), claimRows(shown, number));

const steps = (state) => h('section', {}, h('h2', {}, 'Protocol'),
  state.shown.plan.warning === '' ? null : h('p', { class: 'caution', role: 'note' }, state.shown.plan.warning),
  protocol(state, facts(state.shown.plan)));

const withWhat = (state) => [choiceForm(state), savedLine(state, () => save(state)), notices(state.shown.notices)];

function draw(state) {
  if (state.shown.plan === null) {
    cannot(state);
    return;
  }
  const { main, shown, number } = state;
  const { sample } = shown;
  fill(main,
    h('h1', {}, `Plan: ${sample.name}`),
    shown.invented || sample.invented ? h('p', { class: 'invented' }, 'Invented data') : null,
    samplePlaces(number, 'plan'),
    running(shown) ? [steps(state), h('details', { class: 'no-print' }, h('summary', {}, 'Rig, loads and start'), withWhat(state)), claims(state)]
      : [withWhat(state), claims(state), steps(state)]);
}

async function load(state) {
  const address = addressOf(`/api/samples/${state.number}/plan`, { ...queryOf(state.wish), width: rungWidth() });
  const [shown, papers] = await Promise.all([get(address, state.signal), get(`/api/rigs?sample=${state.number}`, state.signal)]);
  Object.assign(state, { shown, papers });
  if (shown.plan !== null) note(addressOf(`/plan/${state.number}`, shown.saved.as_shown ? {} : queryOf(state.wish)));
}

// Draws again what the server says now, and leaves the focus where it was.
async function refresh(state) {
  const held = document.activeElement?.id;
  await load(state);
  draw(state);
  if (held) document.getElementById(held)?.focus({ preventScroll: true });
}

async function save(state) {
  const { shown } = state;
  try {
    state.shown = await post(`/api/samples/${state.number}/plan`, {
      rig: shown.rig, loads: shown.loads, start: state.wish.start === undefined ? startOf(shown.plan) : state.wish.start,
    });
    state.wish = {};
    await refresh(state);
    say('The plan is saved.');
  } catch (fault) {
    state.trouble(fault);
  }
}

// A sample that cannot be planned yet: what to add first.
function cannot(state) {
  const { sample, fault } = state.shown;
  fill(state.main, h('h1', {}, `Plan: ${sample.name}`), samplePlaces(state.number, 'plan'),
    emptyState(h('strong', {}, sentence(fault.what)), h('p', {}, sentence(fault.remedy)),
      h('p', { class: 'actions' }, h('a', { class: 'button', href: `/sample/${state.number}#label` }, 'To its label'))));
}

// What another device did waits while something is written here; the next change asks anyway.
const writing = ({ main, shown }) => main.querySelector('.paper-panel') !== null
  || (document.activeElement?.id === 'plan-start' && document.activeElement.value !== startOf(shown.plan));

export async function page({ main, number, query, signal, title }) {
  const state = { main, number, signal, title, wish: wishOf(query), operator: await isOperator(), shown: null, papers: null };
  state.trouble = (fault) => { if (fault.name !== 'AbortError') main.prepend(faultBox(fault)); };
  state.change = (wish) => { Object.assign(state.wish, wish); return refresh(state).catch(state.trouble); };
  state.refresh = () => refresh(state).catch(state.trouble);
  await load(state);
  title(`Plan: ${state.shown.sample.name}`);
  draw(state);
  const again = (news) => { if (!writing(state) && (news === null || news.sample === number || news.sample === 0)) state.refresh(); };
  listen('book', again, signal);
  listen('reload', again, signal);
  keys([{ key: 'n', name: 'Tick the next step', does: () => document.querySelector('.next-step button')?.click() },
    { key: 's', name: 'Save this plan', does: () => { if (state.operator && state.shown.plan !== null && !state.shown.saved.as_shown) save(state); } }], signal);
}
