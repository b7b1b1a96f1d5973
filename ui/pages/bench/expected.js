// What is to be expected, when: as intervals that narrow, or what is missing to tell.
import { fill, h } from '../../core/dom.js';
import { clockTime, fixed } from '../../core/numbers.js';

// By the clock on the wall, which a rehearsal faster than life has not.
function byTheClock(state, at_s) {
  const ms = Date.now() + (at_s - state.t_s) * 1000 - (performance.now() - state.heard_ms);
  return new Date(ms).toLocaleTimeString(undefined, { hour: '2-digit', minute: '2-digit' });
}

export function whenWords(measure, state) {
  if (measure.value === null) return `cannot tell: ${measure.cannot_tell}`;
  if (measure.value <= state.t_s) return `was at ${clockTime(measure.value)}`;
  if (measure.lo === null || measure.hi === null) return `about ${clockTime(measure.value)}`;
  const from = Math.max(measure.lo, state.t_s);
  const clock = state.rate === 1 ? `, ${byTheClock(state, from)} to ${byTheClock(state, measure.hi)} by the clock` : '';
  return `between ${clockTime(from)} and ${clockTime(measure.hi)}${clock}`;
}

function rowsOf(state) {
  if (state.cut_off_at_s === undefined || state.kind === 'rest') return [];
  const rows = [];
  if (state.share_charge !== null) {
    rows.push(['Half way', whenWords(state.half_way_s, state)]);
    rows.push(['Rated Ah', whenWords(state.rated_at_s, state)]);
    const open = state.rated_at_s.value !== null && state.reaches_rated > 0 && state.reaches_rated < 0.975;
    if (open && state.kind !== 'charge') rows.push(['', `if it holds so much: ${Math.round(100 * state.reaches_rated)} in 100 would`]);
  }
  rows.push([state.kind === 'charge' ? 'End' : 'Cut-off', whenWords(state.cut_off_at_s, state)]);
  if (state.given) rows.push(['', state.given]);
  return rows;
}

export function expected(place, state) {
  const rows = rowsOf(state);
  fill(place, rows.length === 0 ? null : h('dl', { class: 'expected' }, rows.map(([name, words]) =>
    h('div', {}, h('dt', {}, name), h('dd', {}, words)))));
}

// How much of the rated has passed, and the interval of what did.
export function amounts(place, state) {
  const parts = [];
  const interval = (measure, unit, digits) => (measure === undefined || measure.value === null || measure.lo === null ? null
    : `${fixed(measure.lo, digits)} to ${fixed(measure.hi, digits, unit)}`);
  const ah = interval(state.charge_ah, 'Ah', 2);
  const wh = interval(state.energy_wh, 'Wh', 1);
  if (ah !== null) parts.push(`${state.kind === 'charge' ? 'taken in' : 'delivered'} ${ah}${wh === null ? '' : `, ${wh}`} (95 %)`);
  if (state.share_charge !== null && state.share_charge !== undefined) parts.push(`${fixed(100 * state.share_charge, 1)} % of the rated Ah`);
  fill(place, parts.join(' · '));
}
