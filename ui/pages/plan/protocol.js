// The protocol as a list to follow: what comes next stands large above it, every device sees what is ticked.
import { give } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { button, caution } from '../../core/parts.js';
import { done } from '../../core/undo.js';

const clock = (instant) => instant.toLocaleTimeString([], { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });

const late = 2 * 3600e3; // ms after the start chosen, from which on tomorrow is meant

// When the base load went on, or is to go on; null where neither is known. Times then follow from it.
function baseOf({ plan, saved }) {
  const step = plan.protocol.findIndex((one) => one.act === 'base');
  if (saved.done[step]) return { at: new Date(saved.done[step]), told: true };
  if (plan.start_clock_s === null) return null;
  const at = new Date();
  at.setHours(0, 0, Math.round(plan.start_clock_s), 0);
  if (Date.now() - at > late) at.setDate(at.getDate() + 1);
  return { at, told: false };
}

// The server's words, until the base load has gone on: then by when that was.
function whenOf(step, base) {
  if (!base?.told) return step.when;
  const within = step.within_s >= 60 ? ` ± ${Math.round(step.within_s / 60)} min` : '';
  return clock(new Date(base.at.getTime() + step.at_s * 1000)) + within;
}

function away(step, base) {
  if (base === null) return '';
  const minutes = Math.round((base.at.getTime() + step.at_s * 1000 - Date.now()) / 60000);
  if (Math.abs(minutes) > 720) return '';
  const words = Math.abs(minutes) < 60 ? `${Math.abs(minutes)} min` : `${Math.floor(Math.abs(minutes) / 60)} h ${Math.abs(minutes) % 60} min`;
  return minutes === 0 ? 'now' : minutes > 0 ? `in ${words}` : `${words} ago`;
}

async function tick(state, index, ticked) {
  const { saved } = state.shown;
  const put = (value) => give('PUT', `/api/samples/${state.number}/plan/steps/${index + 1}`,
    JSON.stringify({ plan: saved.document, done: value }), 'application/json');
  try {
    await put(ticked);
    done(ticked ? `Step ${index + 1} is done.` : `Step ${index + 1} is open again.`, async () => { await put(!ticked); await state.refresh(); });
    await state.refresh();
  } catch (fault) {
    state.trouble(fault);
  }
}

const writeDown = (step) => (step.write_down === '' ? null : h('p', { class: 'write-down' }, h('span', { class: 'soft' }, 'Write down: '), step.write_down));

function stepItem(state, step, index, base, ticks) {
  const at = state.shown.saved.done[index];
  const id = `step-${index + 1}`;
  return h('li', { class: at ? 'step done' : 'step' },
    h('input', {
      type: 'checkbox', id, checked: Boolean(at), disabled: !ticks,
      onchange: (event) => tick(state, index, event.target.checked),
    }),
    h('label', { for: id, class: 'when' }, whenOf(step, base), at ? h('span', { class: 'soft no-print' }, ` done ${clock(new Date(at))}`) : ''),
    h('div', { class: 'what' }, h('p', {}, step.what), writeDown(step), step.caution === '' ? null : caution(step.caution)));
}

function nextStep(state, base, ticks) {
  const { plan, saved } = state.shown;
  const index = saved.done.findIndex((at) => at === null);
  if (index < 0)
    return h('p', { class: 'next-step' }, h('strong', {}, 'All steps are done. '), h('a', { href: `/sample/${state.number}` }, 'To the sample'));
  const step = plan.protocol[index];
  const remaining = h('span', { class: 'how-long' });
  const tell = () => fill(remaining, away(step, base));
  tell();
  const timer = setInterval(() => (remaining.isConnected ? tell() : clearInterval(timer)), 10000);
  state.signal.addEventListener('abort', () => clearInterval(timer));
  return h('div', { class: 'next-step no-print', role: 'region', 'aria-label': 'Next step' },
    h('p', { class: 'next-when' }, h('span', { class: 'soft' }, `Next, step ${index + 1}: `), h('strong', {}, whenOf(step, base)), ' ', remaining),
    h('p', { class: 'next-what' }, step.what), writeDown(step), step.caution === '' ? null : caution(step.caution),
    h('p', { class: 'actions' },
      ticks ? button('Done', () => tick(state, index, true), { class: 'main', id: 'next-done' }) : null,
      step.act === 'zero' || step.act === 'base' ? h('a', { class: 'button', href: `/bench?sample=${state.number}` }, 'Record on the bench') : null));
}

const origin = (shown, base) => (base?.told ? `By when the base load went on, ${clock(base.at)}.`
  : shown.plan.start_clock_s === null ? 'Hours and minutes from switching the base load on. Choose a start above for clock times.'
    : 'Clock times, for the start chosen above.');

// `facts`: what it is run with, between the next step and the list.
export function protocol(state, facts) {
  const { shown, operator } = state;
  const base = baseOf(shown);
  const followed = shown.saved.document !== null && shown.saved.as_shown;
  const ticks = followed && operator;
  return [
    followed ? nextStep(state, base, ticks) : null,
    facts,
    h('p', { class: 'soft' }, origin(shown, base), followed ? '' : h('span', { class: 'no-print' }, ' Steps are ticked on a saved plan.')),
    h('ol', { class: 'protocol' }, shown.plan.protocol.map((step, index) => stepItem(state, step, index, base, ticks))),
    h('p', { class: 'actions' }, button('Print the protocol', () => print()))];
}
