// The runs of a sample in order, with what each gave.
import { h } from '../../core/dom.js';
import { runsOfLogs } from '../../core/chain.js';
import { clockTime, instant } from '../../core/numbers.js';
import { emptyState, measureText, table } from '../../core/parts.js';

function began(run) {
  if (run.start_utc_s === null) return 'not known';
  const iso = new Date(run.start_utc_s * 1000).toISOString();
  return run.zone_known ? instant(iso) : [h('span', { class: 'instant' }, `${iso.slice(0, 10)} ${iso.slice(11, 16)}`), ' ', h('small', {}, 'by its own clock')];
}

function stateOf(run) {
  if (run.open) return h('a', { href: '/bench' }, 'open, at the bench');
  return run.origin;
}

// Of the log that the run is in the assessment: what it delivered, or took.
function gave(assessment, log) {
  const none = { ah: '–', wh: '–', end: '' };
  if (log < 0) return none;
  const test = assessment.tests[log];
  const parts = assessment.runs.filter((part) => part.log === log);
  if (test) {
    const last = parts.filter((part) => part.kind === 'discharge').at(-1);
    return { ah: measureText(test.charge_ah), wh: measureText(test.energy_wh), end: last?.ended_by ?? '' };
  }
  const charge = parts.filter((part) => part.kind === 'charge').sort((a, b) => (b.charge_ah.value ?? 0) - (a.charge_ah.value ?? 0))[0];
  return charge ? { ah: [measureText(charge.charge_ah), ' in'], wh: [measureText(charge.energy_wh), ' in'], end: charge.ended_by } : none;
}

export function runsView(runs, assessment, sample, operator) {
  if (runs.length === 0)
    return emptyState('No test yet.', operator ? h('p', { class: 'actions' },
      h('a', { class: 'button', href: `/plan/${sample}` }, 'Plan the test'),
      h('a', { class: 'button', href: `/bench?sample=${sample}` }, 'Record or rehearse one'),
      h('a', { class: 'button', href: `/add?sample=${sample}` }, 'Add readings')) : null);
  const logs = runsOfLogs(assessment);
  return table('Runs in the order of their start', ['Run', 'Began', 'Kind', '>Length', '>Charge', '>Energy', 'Ended', ''], runs.map((run) => {
    const { ah, wh, end } = gave(assessment, logs.indexOf(run.run));
    return [h('a', { href: `/run/${run.run}` }, run.name || `Run ${run.run}`), began(run), run.kind, clockTime(run.end_s), ah, wh, end,
      [stateOf(run), run.invented ? ', invented' : '']];
  }));
}
