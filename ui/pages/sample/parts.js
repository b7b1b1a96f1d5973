// The rest of the evidence beside the claims: what does not go together, charges, what the board stopped, the opened case,
// and of what nothing was seen.
import { runsOfLogs } from '../../core/chain.js';
import { h } from '../../core/dom.js';
import { fixed, signed } from '../../core/numbers.js';
import { button, measureText, tableOf } from '../../core/parts.js';
import { besideStops, wayOf } from '../run/protections.js';

const known = (measure) => (measure.value === null ? null : measureText(measure));
const titleOf = (item) => [item.kind, item.name].filter(Boolean).join(' ');
const toItem = (sample, item) => h('a', { href: `/opened/${sample}#${item.slug}` }, titleOf(item));

// First of all; each leads to the claim and to the part that it is about.
export function contradictionsView({ contradictions, claims, opened }, sample, openClaim) {
  if (contradictions.length === 0) return null;
  const about = ({ claim, item }) => {
    const claimed = claims.find((one) => one.claim === claim);
    const part = opened?.items.find((one) => one.slug === item);
    return h('small', {}, claimed ? button(claimed.name, () => openClaim(claimed), { class: 'quiet' }) : null, part ? toItem(sample, part) : null);
  };
  return h('div', { class: 'contradictions' }, h('h2', {}, 'What does not go together'),
    h('ul', {}, contradictions.map((one) => h('li', {}, signed(one.words), ' ', about(one)))));
}

export const opinionView = ({ opinion }) => (opinion
  ? h('figure', { class: 'opinion' }, h('figcaption', {}, 'In the tester’s words: an opinion'), h('blockquote', {}, opinion)) : null);

const pairs = (rows) => (rows.length === 0 ? null
  : h('dl', {}, rows.filter(([, words]) => words !== null).map(([name, words]) => h('div', {}, h('dt', {}, name), h('dd', {}, words)))));

function runLinks(assessment, runs) {
  const numbers = runsOfLogs(assessment);
  return {
    of: (log) => runs.find((run) => run.run === numbers[log]),
    link: (log) => h('a', { href: `/run/${numbers[log]}` }, runs.find((run) => run.run === numbers[log])?.name || `Run ${numbers[log]}`),
  };
}

// Charges between the stops of a protection test say nothing of how the sample charges. One alone is told down the page.
function chargePart({ chargings, restings }, links) {
  const shown = chargings.filter((one) => links.of(one.log)?.kind !== 'protection');
  if (shown.length === 0) return null;
  const settled = (charge) => restings.find((rest) => rest.log === charge.log && rest.after === 'charge' && rest.run > charge.run);
  const columns = [['Run', (one) => links.link(one.log)], ['>Accepted', (one) => known(one.charge_ah)], ['>Constant current', (one) => known(one.constant_a)],
    ['>Constant volts', (one) => known(one.held_v)], ['>Current at its end', (one) => known(one.tail_a)], ['Full', (one) => one.full],
    ['Ended by', (one) => one.ended_by], ['>Settles at', (one) => { const rest = settled(one); return rest ? known(rest.settled_v) : null; }]];
  return h('section', {}, h('h2', {}, 'Charge'), shown.length > 1 ? tableOf('How it charged', columns, shown)
    : pairs(columns.map(([head, cell]) => [head.replace('>', ''), cell(shown[0])])));
}

function protectionPart(assessment, links) {
  const { trips, low_stops: empty } = assessment;
  const sudden = trips.filter((one) => one.way !== 'low voltage' || empty.length === 0); // what is told of the empty sample says more
  if (sudden.length + empty.length === 0) return null;
  return h('section', {}, h('h2', {}, 'Protections'),
    sudden.length === 0 ? null : tableOf('What the board stopped', [
      ['Stopped', wayOf], ['>Threshold', (one) => known(one.threshold_degc)],
      ['>Probe’s place', (one) => known(one.trip_degc)], ['>Let go at', (one) => known(one.release_degc)], ['>After the mark', (one) => known(one.delay_s)],
      ['>Current', (one) => fixed(one.from_a, 1, 'A')], ['Run', (one) => links.link(one.log)]], sudden), besideStops(assessment),
    sudden.some((one) => one.threshold_degc.value === null && one.trip_degc.value !== null)
      ? h('p', { class: 'soft' }, 'A threshold proper wants slow ramps in both directions.') : null,
    pairs(empty.map((one) => ['When empty', [signed(one.words), ' (', links.link(one.log), ')']])));
}

function openedPart({ opened }, sample) {
  if (!opened || opened.items.length === 0) return null;
  const weakest = opened.items.find((one) => one.slug === opened.weakest);
  const telling = opened.items.filter((one) => one.against || one.limit_a !== null || one.grade);
  return h('section', {}, h('h2', {}, 'Opened'),
    weakest && opened.weakest_a !== null ? h('p', {}, `Of what lies in the path of the current, the ${titleOf(weakest)} allows least: ${Number(opened.weakest_a.toPrecision(3))} A.`) : null,
    telling.length === 0 ? null : tableOf('What its parts come to', [
      ['Part', (one) => toItem(sample, one)], ['>Allows', (one) => (one.limit_a === null ? null : `${Number(one.limit_a.toPrecision(3))} A`)],
      ['Against the label', (one) => (one.against ? signed(one.against) : null)], ['The tester’s grade', (one) => [one.grade, one.grade_why].filter(Boolean).join(': ') || null]], telling),
    h('p', {}, h('a', { href: `/opened/${sample}` }, `All of what was seen: ${opened.items.length} parts`)));
}

function untestedPart({ untested }, sample) {
  if (untested.length === 0) return null;
  return h('section', {}, h('h2', {}, 'What was not tested'), pairs(untested.map((one) => [one.what, signed(one.words)])),
    h('p', { class: 'no-print' }, h('a', { href: `/guides?sample=${sample}` }, 'Test sheets: how each is tested by hand')));
}

export function partsView(assessment, sample) {
  const links = runLinks(assessment, sample.runs);
  return [chargePart(assessment, links), protectionPart(assessment, links), openedPart(assessment, sample.sample), untestedPart(assessment, sample.sample)];
}
