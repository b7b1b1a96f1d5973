// Rig: the instruments of the workshop, how far each may be off, whether they answer, and what they can decide.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator } from '../core/head.js';
import { keys } from '../core/keys.js';
import { listen } from '../core/live.js';
import { button, emptyState } from '../core/parts.js';
import { note } from '../core/route.js';
import { decidePanel } from './rig/decide.js';
import { loadsPanel } from './rig/loads.js';
import { newRig } from './rig/new_rig.js';
import { history, paperPanel } from './rig/paper_panel.js';
import { pluggedIn, probePanel } from './rig/probe.js';
import { showRig } from './rig/show.js';
import { loadsTemplate } from './rig/templates.js';

const chosenOf = (papers, name) => papers.find((one) => one.name === name) ?? papers.at(-1);

function list(state, papers, kind, chosen, add) {
  return h('nav', { class: 'papers', 'aria-label': kind === 'rig' ? 'Rigs' : 'Loads' }, h('ul', {},
    papers.map((one) => h('li', {}, h('a', {
      href: `/rig?${kind}=${encodeURIComponent(one.name)}`, 'aria-current': one === chosen ? 'true' : null,
      onclick: (event) => { event.preventDefault(); state[kind] = one.name; draw(state); },
    }, one.name), one.invented ? h('span', { class: 'soft' }, ' invented') : null)),
    state.operator ? h('li', {}, button(kind === 'rig' ? 'New rig' : 'New loads', add, { class: 'quiet', id: `new-${kind}` })) : null));
}

// A part under the list in which something is written; Escape of the browser's own, focus goes back to its button.
function open(state, place, make, back) {
  const close = () => { fill(place); document.getElementById(back)?.focus(); };
  fill(place, make(close));
  place.querySelector('select, input, textarea')?.focus();
}

function rigPart(state, paper) {
  const place = h('div', {});
  const saved = (version) => { state.rig = version.name; load(state); };
  const add = () => open(state, place, (close) => newRig({ signal: state.signal, saved, close }), 'new-rig');
  if (state.adding === 'rig') queueMicrotask(add);
  const edit = () => open(state, place, (close) => paperPanel({ kind: 'rig', name: paper.name, text: paper.text, signal: state.signal, saved, close }), 'edit-rig');
  return h('section', { class: 'rig' },
    list(state, state.papers.rigs, 'rig', paper, add),
    paper === undefined ? emptyState('No rig is described yet: without one wide defaults stand for the meters, and every interval rests on them.',
      state.operator ? h('p', { class: 'actions' }, button('Describe the first', add, { class: 'main' })) : h('p', {}, 'An operator can describe one.')) : [
      h('h2', {}, paper.name), showRig(paper),
      h('p', { class: 'actions' }, state.operator ? button('Edit', edit, { id: 'edit-rig' }) : null,
        button('Its versions', () => history(paper, state.operator, saved), { class: 'quiet' }))],
    place,
    paper?.rig?.instruments.length > 0 && state.operator ? probePanel(paper, state.signal) : null);
}

function loadsPart(state, paper) {
  const place = h('div', {});
  const saved = (version) => { state.loads = version.name; load(state); };
  const add = () => open(state, place, (close) => paperPanel({ kind: 'loads', name: 'bench.loads', text: loadsTemplate, fresh: true, signal: state.signal, saved, close }), 'new-loads');
  return h('section', {}, h('h2', {}, 'Loads at hand'),
    list(state, state.papers.loads, 'loads', paper, add), place,
    paper === undefined ? emptyState('No loads are listed yet: a plan then says what is needed instead of what is there.')
      : loadsPanel(paper, state.operator, state.signal, saved));
}

function draw(state) {
  const rig = chosenOf(state.papers.rigs, state.rig);
  const loads = chosenOf(state.papers.loads, state.loads);
  if (rig) note(`/rig?rig=${encodeURIComponent(rig.name)}`);
  fill(state.main, h('h1', {}, 'Rig'),
    rigPart(state, rig),
    decidePanel(rig?.fault ? undefined : rig, state.samples, state.sample, state.signal),
    loadsPart(state, loads),
    state.operator ? pluggedIn() : null);
  state.adding = '';
}

async function load(state) {
  const [papers, shelf] = await Promise.all([get('/api/rigs', state.signal), get('/api/samples', state.signal)]);
  Object.assign(state, { papers, samples: shelf.samples });
  draw(state);
}

// Another device has changed a paper: not while something is typed here.
const heard = (state, news) => {
  if ((news === null || (news.what === 'document' && news.sample === 0)) && state.main.querySelector('.paper-panel, dialog[open]') === null) load(state);
};

export async function page({ main, query, signal, title }) {
  title('Rig');
  const state = {
    main, signal, operator: await isOperator(), rig: query.get('rig'), loads: query.get('loads'),
    sample: Number(query.get('sample')), adding: query.get('new') ?? '', papers: null, samples: [],
  };
  await load(state);
  listen('book', (news) => heard(state, news), signal);
  listen('reload', (news) => heard(state, news), signal);
  keys([{ key: 'n', name: 'New rig', does: () => document.getElementById('new-rig')?.click() },
    { key: 'e', name: 'Edit this rig', does: () => document.getElementById('edit-rig')?.click() }], signal);
}
