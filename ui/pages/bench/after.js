// After the end: where the findings are, and what was true in a rehearsal beside what was found.
import { get, post } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { signed } from '../../core/numbers.js';
import { button, faultBox, table } from '../../core/parts.js';

export async function besideTable(run) {
  const { rows, told, held } = await get(`/api/runs/${run}/beside`);
  return h('section', {}, h('h2', {}, 'What was true'),
    table('True values of the rehearsal beside what was found; all of it invented', ['', '>True', '>Found', '>95 % interval', ''],
      rows.map((row) => [signed(row.what.replace('mohm', 'mΩ')), signed(row.true), signed(row.found), signed(`${row.low} to ${row.high}`), row.holds ? 'holds' : 'misses']), { class: 'beside' }),
    h('p', {}, `${held} of ${told} true values lie inside their interval.`));
}

const endings = {
  ending: () => [h('p', {}, 'Ending: what is held goes into the book.')],
  assessing: () => [h('p', {}, 'The run is in the book. It is being assessed.')],
  ended: (state) => [h('p', {}, `Run ${state.recording}: ${state.cause}.`),
    h('p', { class: 'actions' }, h('a', { class: 'button', href: `/run/${state.recording}` }, 'To the findings'),
      h('a', { class: 'button', href: `/sample/${state.sample}` }, 'To the sample'), h('a', { class: 'button', href: '/bench?new' }, 'Another recording'))],
  'left open': (state) => [h('p', {}, `Run ${state.recording} was left open; ${state.trouble?.held ?? 0} readings did not come into the book.`),
    h('p', { class: 'actions' }, h('a', { class: 'button', href: '/bench?new' }, 'To the bench'))],
};

export function after(place, state) {
  const words = endings[state.state]?.(state) ?? [];
  const trouble = state.state === 'ending' && state.trouble
    ? [faultBox({ message: state.trouble.what, remedy: `${state.trouble.held} readings are held, and tried again each second. ${state.trouble.remedy}` }),
      button('Give them up and leave the run open', () => post(`/api/recordings/${state.recording}/give-up`).catch(() => {}), { class: 'loss' })]
    : [];
  const truth = h('div');
  fill(place, words, trouble, truth);
  if (state.state === 'ended' && state.rehearsed)
    besideTable(state.recording).then((element) => fill(truth, element), (fault) => fill(truth, faultBox(fault)));
}
