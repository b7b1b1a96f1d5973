// With what: rig, loads and start, chosen or edited in place.
import { fill, h } from '../../core/dom.js';
import { button, field } from '../../core/parts.js';
import { paperPanel } from '../rig/paper_panel.js';
import { firstRig, loadsTemplate } from '../rig/templates.js';
import { startOf } from './wish.js';

const titled = (paper) => `${paper.name}${paper.invented ? ' (invented)' : ''}${paper.fault ? ': cannot be read' : ''}`;

function select(id, papers, chosen, none, changed) {
  return h('select', { id, onchange: (event) => changed(event.target.value === '' ? null : Number(event.target.value)) },
    h('option', { value: '', selected: chosen === null }, none),
    papers.map((paper) => h('option', { value: paper.document, selected: paper.document === chosen, disabled: paper.fault !== undefined },
      titled(paper))));
}

// Opens the paper under the form; what is saved is chosen at once.
function edit(place, state, kind, paper) {
  const chosen = kind === 'rig' ? 'rig' : 'loads';
  const fresh = paper ?? (kind === 'rig' ? { name: 'bench.rig', text: firstRig() } : { name: 'bench.loads', text: loadsTemplate });
  fill(place, paperPanel({
    kind, name: fresh.name, text: fresh.text, fresh: paper === undefined, signal: state.signal,
    saved: (version) => state.change({ [chosen]: version.document }),
    close: () => fill(place),
  }));
  place.querySelector('textarea')?.focus();
}

function missing(state, kinds) {
  if (kinds.length === 0) return null;
  const words = {
    rig: 'No rig is chosen: wide defaults stand for the meters’ accuracy, and every interval below rests on them.',
    loads: 'No loads are chosen: the plan says what is needed instead of what is there.',
  };
  return h('ul', { class: 'soft no-print' }, kinds.map((kind) => h('li', {}, words[kind])));
}

const isClock = (words) => /^([01]?\d|2[0-3]):[0-5]\d$/.test(words);

function startField(state) {
  const changed = ({ target }) => {
    const words = target.value.trim();
    const fits = words === '' || isClock(words);
    target.setCustomValidity(fits ? '' : 'A time of day such as 9:30, or nothing.');
    if (fits) state.change({ start: words });
    else target.reportValidity();
  };
  return h('input', { id: 'plan-start', value: startOf(state.shown.plan), placeholder: '9:30', autocomplete: 'off', maxlength: 5, onchange: changed });
}

export function choiceForm(state) {
  const { shown, papers, operator } = state;
  const place = h('div', {});
  const rig = papers.rigs.find((one) => one.document === shown.rig);
  const loads = papers.loads.find((one) => one.document === shown.loads);
  const start = startField(state);
  const editButton = (kind, paper) => operator && button(paper ? `Edit ${paper.name}` : kind === 'rig' ? 'Describe a rig' : 'List the loads',
    () => edit(place, state, kind, paper), { class: 'quiet', id: `plan-edit-${kind}` });
  return h('section', { class: 'plan-choices', 'aria-label': 'With what' },
    h('div', { class: 'fields' },
      h('div', {}, field('Rig', select('plan-rig', papers.rigs, shown.rig, 'not stated', (value) => state.change({ rig: value }))), editButton('rig', rig)),
      h('div', {}, field('Loads', select('plan-loads', papers.loads, shown.loads, 'not stated', (value) => state.change({ loads: value }))), editButton('loads', loads)),
      field('Base load goes on at', start, 'Then the steps have clock times.')),
    missing(state, [shown.rig === null ? 'rig' : '', shown.loads === null ? 'loads' : ''].filter(Boolean)),
    place);
}
