// What was found in the run: each finding opens to the chain from the readings to its number.
import { get } from '../../core/ask.js';
import { chainView } from '../../core/chain.js';
import { fill, h } from '../../core/dom.js';
import { clockTime, fixed, temperature } from '../../core/numbers.js';
import { button, emptyState, faultBox, measureText, table, verdictWord } from '../../core/parts.js';
import { chargesList, restsList } from './charges.js';
import { bare, line, told } from './lines.js';
import { holdsList, notTested, stopsList } from './protections.js';

// Opened the first time, the chain is asked for.
function opened(run, name, head, signal, open) {
  const place = h('div', {});
  let asked = false;
  return h('details', { class: 'finding', open, ontoggle: async (event) => {
    if (!event.target.open || asked) return;
    asked = true;
    fill(place, h('p', { class: 'soft' }, 'Reading…'));
    try {
      fill(place, chainView(await get(`/api/runs/${run}/chain/${encodeURIComponent(name)}`, signal), { runOf: () => run }));
    } catch (fault) {
      asked = false;
      if (fault.name !== 'AbortError') fill(place, faultBox(fault));
    }
  } }, h('summary', {}, head), place);
}

function testList(run, test, assessment, signal) {
  const item = (name, ...head) => opened(run, name, head, signal);
  const last = assessment.runs.filter((one) => one.kind === 'discharge').at(-1);
  const tally = test.tally_ah ?? test.tally_wh;
  return [
    item('charge', line('Charge delivered', ...told(test.charge_ah))),
    item('energy', line('Energy delivered', ...told(test.energy_wh))),
    item('mean-voltage', line('Mean volts', ...told(test.mean_v))),
    item('load', line('Load', test.load || 'cannot tell')),
    last ? item('ending', line('End', last.ended_by === 'cannot tell' ? [h('span', { class: 'cannot' }, 'cannot tell'), ' by what'] : last.ended_by,
      last.end_v.value === null ? '' : [' at ', measureText(last.end_v)])) : null,
    assessment.steps.length > 0 ? item('resistance', line('Resistance', `${assessment.steps.length} step${assessment.steps.length === 1 ? '' : 's'} of the current`)) : null,
    item('burst', line('Bursts', assessment.bursts.length === 0 ? 'none' : String(assessment.bursts.length))),
    tally ? item('tally', line('The meter’s own tally', tally.words)) : null,
    item('conditions', line('Conditions', conditionWords(test))),
    bare('Energy out over in', ...told(test.efficiency_energy)),
  ];
}

function conditionWords(test) {
  const departs = test.conditions.filter((one) => one.departs).map((one) => one.name);
  const unknown = test.conditions.filter((one) => !one.known).map((one) => one.name);
  return [departs.length > 0 ? `${departs.join(', ')} not as the standards ask` : test.conditions.length > 0 ? 'as the standards ask' : 'not known',
    unknown.length > 0 ? `; not known: ${unknown.join(', ')}` : ''].join('');
}

function claimsList(run, claims, signal) {
  const bearing = claims.filter((claim) => claim.verdict !== 'not tested');
  if (bearing.length === 0) return null;
  return h('section', {}, h('h2', {}, 'Claims, by this run alone'), bearing.map((claim) => opened(run, claim.claim,
    [h('span', { class: 'finding-name' }, claim.name), h('span', {}, `${claim.as_stated}: `, verdictWord(claim.verdict), claim.found ? `, ${claim.found}` : '',
      claim.would_decide ? h('small', { class: 'would' }, `What would tell: ${claim.would_decide}`) : null)], signal)));
}

function stepsTable(steps, pick) {
  if (steps.length === 0) return null;
  const at = (step, delay) => step.resistance_ohm.find((one, k) => (delay === 0 ? k === 0 : one.delay_s === delay));
  const cell = (one) => (one === undefined ? '–' : measureText(one));
  const shown = steps.map((step, k) => [step, k]).sort((a, b) => Math.abs(b[0].to_a - b[0].from_a) - Math.abs(a[0].to_a - a[0].from_a)).slice(0, 40)
    .sort((a, b) => a[1] - b[1]);
  return h('section', {}, h('h2', {}, 'Steps of the current'),
    h('p', { class: 'soft' }, 'Resistance is what the volts change over what the amps change, the volts before the step carried to the same moment. Choose one to see it on the curve.'),
    table('Resistance at each step', ['At', '>Amps', '>First reading', '>1 s', '>10 s', '>30 s'], shown.map(([step, k]) => [
      button(clockTime(step.at_s), () => pick(k), { class: 'quiet' }), `${fixed(step.from_a, 2)} → ${fixed(step.to_a, 2)}`,
      cell(at(step, 0)), cell(at(step, 1)), cell(at(step, 10)), cell(at(step, 30))])),
    shown.length < steps.length ? h('p', { class: 'soft' }, `The ${shown.length} largest of ${steps.length}.`) : null, untold(shown.map(([step]) => step)));
}

// Why some of them cannot be told: each reason once.
function untold(steps) {
  const reasons = new Map();
  for (const step of steps)
    for (const one of step.resistance_ohm)
      if (one.value === null) reasons.set(one.cannot_tell, [...(reasons.get(one.cannot_tell) ?? []), clockTime(step.at_s)]);
  if (reasons.size === 0) return null;
  return h('details', {}, h('summary', {}, 'Why some cannot be told'), h('ul', {}, [...reasons].map(([reason, at]) =>
    h('li', {}, `${[...new Set(at)].slice(0, 5).join(', ')}: ${reason}`))));
}

function burstsList(bursts, pick) {
  if (bursts.length === 0) return null;
  return h('section', {}, h('h2', {}, bursts.length === 1 ? 'The burst' : 'Bursts'), bursts.map((burst, k) => h('p', {},
    button(clockTime(burst.start_s), () => pick(k), { class: 'quiet' }), ` ${fixed(burst.current_a, 1)} A over a base of ${fixed(burst.base_a, 1)} A for ${clockTime(burst.end_s - burst.start_s)}. It cost `,
    ...told(burst.cost_wh), burst.cost_share.value === null ? '' : [', ', measureText(burst.cost_share), ' of the test'], burst.charge_bound ? `; in charge: ${burst.charge_bound}` : '', '.')));
}

function phasesTable(phases, choose) {
  if (phases.length === 0) return null;
  return h('details', {}, h('summary', {}, `Phases (${phases.length})`), table('Phases', ['From', 'To', 'What', '>Mean amps', '>Mean volts'],
    phases.slice(0, 400).map((phase) => [button(clockTime(phase.start_s), () => choose(phase.start_s, phase.end_s), { class: 'quiet' }), clockTime(phase.end_s),
      `${phase.kind}${phase.mode === 'rest' ? '' : `, ${phase.pulse ? 'burst, ' : ''}${phase.mode}`}`, fixed(phase.mean_a, 2), fixed(phase.mean_v, 3)])),
    phases.length > 400 ? h('p', { class: 'soft' }, `The first 400 of ${phases.length}.`) : null);
}

function runsTable(runs) {
  return table('Rests, charges and discharges', ['From', 'To', 'What', '>Charge', '>Energy', '>Mean temperature', 'Ended by'], runs.slice(0, 200).map((run) => [
    clockTime(run.start_s), clockTime(run.end_s), run.kind, run.kind === 'rest' ? '–' : measureText(run.charge_ah), run.kind === 'rest' ? '–' : measureText(run.energy_wh),
    temperature(run.mean_degc), run.ended_by + (run.evidence ? `: ${run.evidence}` : '')]));
}

export function findingsList(run, assessment, { pickStep, pickBurst, choose, goTo }, signal) {
  const test = assessment.tests[0] ?? null;
  return [
    h('section', {}, h('h2', {}, 'Findings'),
      assessment.summary && test ? h('p', {}, assessment.summary) : null,
      test ? testList(run, test, assessment, signal) : emptyState('The readings hold no discharge; what they hold stands below.'),
      runsTable(assessment.runs), phasesTable(assessment.phases, choose), notTested(assessment)),
    chargesList(assessment), restsList(assessment, goTo), stopsList(assessment, goTo), holdsList(assessment, goTo),
    burstsList(assessment.bursts, pickBurst),
    stepsTable(assessment.steps, pickStep),
    claimsList(run, assessment.claims, signal),
    assessment.warnings.length > 0 ? h('section', {}, h('h2', {}, 'To know of'), h('ul', {}, assessment.warnings.map((one) => h('li', {}, one.text, one.line ? ` (line ${one.line})` : '')))) : null,
  ];
}
