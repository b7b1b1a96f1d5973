// One sample: what it claims and what was found, its runs, what was seen of it, its label.
import { get, patch, remove } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator, samplePlaces } from '../core/head.js';
import { keys } from '../core/keys.js';
import { listen } from '../core/live.js';
import { signed } from '../core/numbers.js';
import { button, confirmLoss, faultBox, field, openDialog } from '../core/parts.js';
import { done } from '../core/undo.js';
import { labelSection } from './sample/label.js';
import { ladder, openClaim } from './sample/ladder.js';
import { contradictionsView, opinionView, partsView } from './sample/parts.js';
import { runsView } from './sample/runs.js';

// Where the label contradicts itself, is implausible, or leaves something to be guessed: before anything else.
function labelNotes(assessment) {
  const list = assessment.warnings.filter((warning) => warning.topic === 'label');
  if (list.length === 0) return null;
  return h('div', { class: 'label-notes', role: 'note' }, h('p', {}, h('strong', {}, 'The label, held against itself')),
    h('ul', {}, list.map((warning) => h('li', {}, warning.text))));
}

function otherWarnings(assessment) {
  const list = assessment.warnings.filter((warning) => warning.topic !== 'label');
  if (list.length === 0) return null;
  return h('details', {}, h('summary', {}, `What to know of these findings (${list.length})`), h('ul', {}, list.map((warning) => h('li', {}, warning.text))));
}

function facts(sample, assessment) {
  const rows = [
    ['On the label', assessment.claims.length > 0 && assessment.sample !== sample.name ? assessment.sample : ''],
    ['Had', assessment.sample_had],
    ['Tested', assessment.tested],
    ['Rig', assessment.logs.length > 0 ? assessment.rig?.name : ''],
  ].filter(([, words]) => words);
  return rows.length > 0 ? h('dl', { class: 'facts' }, rows.map(([name, words]) => h('div', {}, h('dt', {}, name), h('dd', {}, words)))) : null;
}

function questions(list) {
  if (list.length === 0) return null;
  return [h('h2', {}, 'Open questions'), h('ul', {}, list.map((words) => h('li', {}, words)))];
}

function pictures(list) {
  if (list.length === 0) return null;
  return [h('h2', {}, 'Pictures'), h('div', { class: 'pictures' }, list.map((picture) => h('figure', {},
    h('a', { href: `/api/pictures/${picture.picture}`, target: '_blank' }, h('img', { src: `/api/pictures/${picture.picture}`, alt: picture.caption || picture.name, loading: 'lazy' })),
    picture.caption ? h('figcaption', {}, picture.caption) : null)))];
}

function papers(list) {
  return list.filter((paper) => paper.kind !== 'label').map((paper) =>
    h('details', {}, h('summary', {}, `${paper.kind[0].toUpperCase()}${paper.kind.slice(1)}${paper.name !== paper.kind ? `: ${paper.name}` : ''}`), h('pre', { class: 'paper', tabindex: '0' }, paper.text)));
}

function renameDialog(sample) {
  const typed = h('input', { value: sample.name, required: true, maxlength: 127, autocomplete: 'off' });
  const answer = h('div', { 'aria-live': 'polite' });
  const submit = async (event) => {
    event.preventDefault();
    try {
      await patch(`/api/samples/${sample.sample}`, { name: typed.value.trim() });
      dialog.close();
      done('Renamed.', () => patch(`/api/samples/${sample.sample}`, { name: sample.name }));
    } catch (fault) {
      fill(answer, faultBox(fault));
    }
  };
  const dialog = openDialog('Rename', h('form', { onsubmit: submit }, field('Name', typed, 'The name it had stays in its history.'), answer,
    h('p', { class: 'actions' }, h('button', { class: 'main' }, 'Rename'))));
  typed.select();
}

async function removeSample(sample, place, go, editing) {
  const runs = sample.runs.length;
  const words = runs === 0 ? 'The sample goes for good, with its label.'
    : `The sample goes for good, with its label, its ${runs === 1 ? 'one run' : `${runs} runs`} and all readings. A backup of the book keeps them.`;
  if (!await confirmLoss('Remove this sample', words, 'Remove for good', sample.name)) return;
  editing.leaving = true; // news of the removal may come before its answer
  try {
    await remove(`/api/samples/${sample.sample}`, { name: sample.name });
    go('/', { replace: true });
  } catch (fault) {
    editing.leaving = false;
    fill(place, faultBox(fault));
  }
}

function corrections(list) {
  if (list.length === 0) return null;
  return h('details', {}, h('summary', {}, `Corrected (${list.length})`), h('ul', {}, list.map((one) => h('li', {}, `${one.field}: ${one.before} became ${one.after}`))));
}

function tools(sample, go, editing) {
  const answer = h('div', { 'aria-live': 'polite' });
  return h('section', { class: 'no-print' }, h('h2', {}, 'This sample'), corrections(sample.corrections), answer,
    h('p', { class: 'actions' }, button('Rename', () => renameDialog(sample)), button('Remove', () => removeSample(sample, answer, go, editing), { class: 'loss' })));
}

async function asked(number, signal) {
  const [sample, assessment, papersNow] = await Promise.all([
    get(`/api/samples/${number}`, signal),
    get(`/api/samples/${number}/assessment`, signal).catch((fault) => { if (fault.name === 'AbortError') throw fault; return fault; }),
    get(`/api/samples/${number}/papers`, signal),
  ]);
  return { sample, assessment, papersNow };
}

const again_ms = 12000;
const nothingFound = { claims: [], warnings: [], logs: [], tests: [], runs: [], questions: [], contradictions: [] };

export async function page({ main, number, signal, go, title }) {
  const operator = await isOperator();
  const places = { top: h('div', {}), claims: h('section', {}), parts: h('div', {}), runs: h('section', {}), label: h('section', {}), rest: h('div', {}) };
  const editing = { now: false, leaving: false, refresh: () => draw() };
  let shown = null; // the ladder
  let drawn = '';
  let timer = 0;
  keys([{ key: 't', name: 'The claims as a table', does: () => shown?.toggleNumbers() }], signal);

  const again = () => draw().catch((fault) => { if (fault.name !== 'AbortError') fill(places.top, h('h1', {}, 'Sample'), faultBox(fault)); });

  // Without claims there is nothing to hold the readings against: the label comes first.
  function order(claimed) {
    const wanted = claimed ? [places.top, places.claims, places.parts, places.runs, places.label, places.rest] : [places.top, places.label, places.parts, places.runs, places.rest];
    if (wanted.some((place, k) => main.children[k] !== place) || main.children.length !== wanted.length) main.replaceChildren(...wanted);
  }

  // While a run is recorded its readings come without news: looked at again now and then.
  function soon(runs) {
    clearTimeout(timer);
    if (runs.some((run) => run.open) && !signal.aborted) timer = setTimeout(again, again_ms);
  }

  async function draw() {
    const { sample, assessment: answer, papersNow } = await asked(number, signal);
    const now = JSON.stringify([sample, answer, papersNow, answer.message]);
    soon(sample.runs);
    if (now === drawn) return;
    drawn = now;
    const failed = answer instanceof Error ? answer : null;
    const assessment = failed ? nothingFound : answer;
    const claimed = assessment.claims.length > 0;
    const figure = h('div', {});
    title(sample.name);
    order(claimed);
    fill(places.top, h('h1', {}, sample.name), samplePlaces(number, 'sample'),
      sample.invented || assessment.invented_data ? h('p', { class: 'invented' }, 'Invented data, for practice') : null,
      failed ? faultBox(failed) : [contradictionsView(assessment, number, (claim) => openClaim(number, claim, assessment)),
        h('p', { class: 'summary' }, signed(assessment.summary_rest)), opinionView(assessment)],
      facts(sample, assessment), labelNotes(assessment));
    fill(places.claims, h('h2', {}, 'Claims'), figure, otherWarnings(assessment));
    shown?.end();
    shown = claimed ? ladder(figure, number, assessment, signal) : null;
    fill(places.parts, failed ? null : partsView(assessment, sample));
    fill(places.runs, h('h2', {}, 'Runs'), runsView(sample.runs, assessment, number, operator), claimed ? null : otherWarnings(assessment));
    if (!editing.now)
      labelSection(places.label, { sample: number, name: sample.name, paper: papersNow.papers.find((paper) => paper.kind === 'label') ?? null, operator, signal, editing });
    fill(places.rest, papers(papersNow.papers), pictures(sample.pictures), questions(assessment.questions), operator ? tools(sample, go, editing) : null);
  }

  await draw();
  listen('book', (news) => { if (!editing.leaving && (news.sample === number || news.sample === 0)) again(); }, signal);
  listen('reload', again, signal);
}
