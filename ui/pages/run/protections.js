// What the sample's board stopped, and what it let through for how long.
import { h } from '../../core/dom.js';
import { clockTime, fixed, signed, temperature } from '../../core/numbers.js';
import { button, measureText, tableOf } from '../../core/parts.js';

const known = (measure, unit = '') => (measure.value === null ? null : [measureText(measure), unit]);
const toTime = (t, goTo) => (t === null ? null : button(clockTime(t), () => goTo(t), { class: 'quiet' }));
// And which sensor was treated, where a mark says it.
export const wayOf = ({ charging, way, place }) => `${charging ? 'charge' : 'discharge'}: ${way || 'cannot tell by what'}${place ? ` (${place})` : ''}`;

// Repeats together, and how the stops stand to what is usual: each said once.
export function besideStops({ trips, trip_repeats: repeats }) {
  const part = (before, measure, unit = '') => (measure.value === null ? '' : [before, known(measure, unit)]);
  const means = repeats.map((one) => h('p', {}, `The ${one.count} stops in the ${one.way === 'cold' ? 'cold' : 'heat'}, in the mean: `, known(one.trip_degc),
    ' where the probe lay', part(', threshold ', one.threshold_degc), part(', threshold of the release ', one.release_threshold_degc), part(', hysteresis ', one.hysteresis_k, ' K'), '.'));
  const usual = [...new Set(trips.map((one) => one.usual).filter(Boolean))];
  return [means, usual.map((words) => h('p', { class: 'soft' }, `${signed(words[0].toUpperCase() + words.slice(1))}.`))];
}

function stops(assessment, trips, goTo) {
  if (trips.length === 0) return null;
  return [tableOf('Stops by the board', [
    ['At', (one) => toTime(one.at_s, goTo)], ['Stopped', wayOf], ['>Current', (one) => fixed(one.from_a, 1, 'A')],
    ['Mark', (one) => one.stimulus || null], ['>After it', (one) => known(one.delay_s)],
    ['>Probe’s place', (one) => known(one.trip_degc)], ['>Threshold', (one) => known(one.threshold_degc)],
    ['Let go on', (one) => toTime(one.released_s, goTo)], ['>Probe’s place then', (one) => known(one.release_degc)], ['>Threshold then', (one) => known(one.release_threshold_degc)],
    ['>Hysteresis', (one) => known(one.hysteresis_k, one.hysteresis_of_place ? ' K at the place' : ' K')], ['How fine', (one) => one.resolution || null]], trips), besideStops(assessment),
    h('details', { open: trips.some((one) => one.threshold_degc.value === null) }, h('summary', {}, 'In words'),
      h('ul', {}, trips.map((one) => h('li', {}, `${clockTime(one.at_s)}: ${one.words}.`))))];
}

export function stopsList(assessment, goTo) {
  const { trips, low_stops: empty, runs } = assessment;
  if (trips.length + empty.length === 0) return null;
  const others = trips.filter((one) => one.way !== 'low voltage' || empty.length === 0); // what is told of the empty sample says more
  return h('section', {}, h('h2', {}, 'What the board stopped'), stops(assessment, others, goTo),
    empty.map((one) => h('p', {}, 'When empty, ', toTime(runs[one.run]?.end_s ?? null, goTo), `: ${one.words}.`)));
}

export function holdsList({ holds, warmings }, goTo) {
  if (holds.length === 0) return null;
  const warmed = (k) => warmings.filter((one) => one.hold === k).map((one) => h('small', { class: 'would' }, `Warming: ${one.words}`));
  return h('section', {}, h('h2', {}, holds.length === 1 ? 'The current held' : 'Currents held'), tableOf('What the board let through', [
    ['From', (one) => toTime(one.from_s, goTo)], ['>Current', (one) => known(one.a)], ['In or out', (one) => (one.charging ? 'in' : 'out')], ['>For', (one) => known(one.held_s)],
    ['>At its end', (one) => (one.degc === null ? null : temperature(one.degc))], ['Shown', (one) => [one.words, warmed(holds.indexOf(one))]]], holds));
}

// As flags on the curve, where an empty sample's end has words of its own.
export const stopMarks = ({ trips }) => trips.filter((one) => one.way !== 'low voltage')
  .flatMap((one) => [{ t_s: one.at_s, words: `stopped: ${one.way || 'by the board'}` }, { t_s: one.released_s, words: 'let go on' }])
  .filter((mark) => mark.t_s !== null);

// Said once, of whatever the run holds nothing of.
export function notTested({ chargings, restings, trips, low_stops: empty, holds }) {
  const lacking = [[chargings, 'a charge'], [restings, 'a rest of a minute or more'], [[...trips, ...empty], 'where the board stops'], [holds, 'how long a current is held']]
    .filter(([list]) => list.length === 0).map(([, words]) => words);
  return lacking.length === 0 ? null : h('p', { class: 'soft' }, `Not tested in this run: ${lacking.join('; ')}.`);
}
