// Charges and rests of a run: how the charge went, whether the sample was full, how its volts settled.
import { h } from '../../core/dom.js';
import { clockTime, fixed } from '../../core/numbers.js';
import { button, measureText } from '../../core/parts.js';
import { bare, line, told } from './lines.js';

const stretch = (from, to) => (from === null ? '' : `, ${clockTime(from)} to ${clockTime(to)}`);

// The current or volts of a part of the charge; that there was no such part is a finding too.
const part = (measure, from, to) => (measure.value === null ? measure.cannot_tell : [measureText(measure), stretch(from, to)]);

function chargeDetails(charge, open) {
  return h('details', { class: 'finding', open },
    h('summary', {}, line(clockTime(charge.start_s), measureText(charge.charge_ah), ` accepted, ${charge.full}; ${charge.ended_by}`)),
    bare('Energy accepted', ...told(charge.energy_wh)),
    bare('At constant current', part(charge.constant_a, charge.constant_from_s, charge.constant_to_s)),
    bare('At constant volts', part(charge.held_v, charge.held_from_s, charge.held_to_s)),
    bare('Current at the end', ...told(charge.tail_a), charge.tail_it.value === null ? '' : [', ', measureText(charge.tail_it)]),
    bare('Volts at the end', ...told(charge.end_v), charge.end_cell_v.value === null ? '' : ['; ', measureText(charge.end_cell_v), ' a cell in the mean']),
    bare('Highest current held', ...told(charge.highest_a), charge.highest_held_s === null ? '' : ` for ${clockTime(charge.highest_held_s)}`),
    bare('Full', `${charge.full}: ${charge.full_words}`),
    bare('Balancing', `${charge.balancing}: ${charge.balancing_words}`),
    bare('Ended by', charge.ended_by, charge.evidence ? `: ${charge.evidence}` : ''),
    charge.restarts > 0 ? bare('Begun again', `${charge.restarts} time${charge.restarts === 1 ? '' : 's'} near the top`) : null);
}

export function chargesList({ chargings, runs }) {
  if (chargings.length === 0) return null;
  return h('section', {}, h('h2', {}, chargings.length === 1 ? 'The charge' : 'Charges'),
    chargings.map((one) => chargeDetails({ ...one, start_s: runs[one.run]?.start_s ?? null }, chargings.length === 1)));
}

const after = { charge: 'After the charge', discharge: 'After the discharge', '': 'Before anything flowed' };

export function restsList({ restings }, goTo) {
  if (restings.length === 0) return null;
  return h('section', {}, h('h2', {}, restings.length === 1 ? 'The rest' : 'Rests'), restings.map((rest) =>
    h('details', { class: 'finding' },
      h('summary', {}, line(after[rest.after], rest.words)),
      bare('From', button(clockTime(rest.from_s), () => goTo(rest.from_s), { class: 'quiet' }), ` for ${clockTime(rest.lasted_s)}, ${fixed(rest.last_v, 3, 'V')} at its end`),
      bare('Settled volts', ...told(rest.settled_v)),
      rest.constants.map((one, k) => bare(`Time constant ${k + 1}`, measureText(one.tau_s), `, ${fixed(1000 * one.a_v, 0, 'mV')}`)),
      rest.wait_s > 0 ? bare('Still to wait', clockTime(rest.wait_s)) : null)));
}
