// Run: its curves, any stretch of them, and what was found, down to the readings. The curves come first; what was found
// follows when the server has it.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator } from '../core/head.js';
import { keys } from '../core/keys.js';
import { listen } from '../core/live.js';
import { clockTime } from '../core/numbers.js';
import { button, emptyState, faultBox } from '../core/parts.js';
import { makeBoard } from './run/board.js';
import { loadLibrary } from './run/charts.js';
import { events, head, papers } from './run/facts.js';
import { findingsList } from './run/findings.js';
import { numbersInView, rawReadings } from './run/numbers.js';
import { stopMarks } from './run/protections.js';
import { burstFit, stepFit } from './run/fits.js';
import { stretchPanel } from './run/stretch.js';
import { instantOf, makeView } from './run/view.js';

const points = () => Math.max(200, Math.min(1600, Math.round((document.getElementById('main').clientWidth || 900) - 90)));

// ---- the row of tools above the charts ----

function tools(page) {
  const { view, board } = page;
  const along = (x, name) => h('button', { type: 'button', class: 'quiet', 'aria-pressed': String(view.x === x), onclick: (event) => {
    view.along(x);
    for (const other of event.target.parentElement.children) other.setAttribute('aria-pressed', String(other === event.target));
  } }, name);
  const charge = along('charge', 'Ah');
  charge.disabled = true; // until there are findings to count it from
  page.chargeButton = charge;
  const drags = (choose) => h('button', { type: 'button', class: 'quiet', 'aria-pressed': String(page.dragChooses === choose), onclick: (event) => {
    page.dragChooses = choose; // a finger moves until somebody asks for more
    page.touchChooses = choose;
    for (const other of event.target.parentElement.children) other.setAttribute('aria-pressed', String(other === event.target));
  } }, choose ? 'chooses a stretch' : 'moves');
  return h('div', { class: 'tools no-print' },
    h('span', { role: 'group', 'aria-label': 'Along' }, along('time', 'Time'), charge),
    h('span', { class: 'drags' }, 'A drag ', h('span', { role: 'group', 'aria-label': 'What a drag does' }, drags(true), drags(false))),
    h('span', { role: 'group', 'aria-label': 'How close' }, button('Closer', () => view.zoom(0.5), { class: 'quiet' }), button('Wider', () => view.zoom(2), { class: 'quiet' }), button('All', view.all, { class: 'quiet' })),
    button('Table', page.toggleTable, { class: 'quiet', 'aria-expanded': 'false' }),
    button('Readings', () => page.readings(), { class: 'quiet' }));
}

function bindKeys(page, signal) {
  const { view, board } = page;
  keys([
    { key: '+', name: 'Closer', does: () => view.zoom(0.5) },
    { key: '-', shown: '−', name: 'Wider', does: () => view.zoom(2) },
    { key: '0', name: 'All of the run', does: view.all },
    { key: 't', name: 'What is in view as a table', does: page.toggleTable },
    { key: 'r', name: 'The readings in view, as they came', does: () => page.readings() },
    { key: 'g', name: 'To the charts', does: () => board.region.focus() },
    { key: 'On the charts', name: '← → move; Shift ← → step the cursor; [ and ] put the ends of a stretch at it; Enter goes close to it; Escape lets it go', does: () => {} },
  ], signal);
}

// ---- findings, when they come ----

async function takeFindings(page, signal) {
  const { run, board, place } = page;
  const began = Date.now();
  const elapsed = h('span', {});
  const tick = setInterval(() => { elapsed.textContent = clockTime((Date.now() - began) / 1000); }, 1000);
  const waits = setTimeout(() => fill(place.findings, h('h2', {}, 'Findings'), h('p', { class: 'progress' }, 'Being made from the readings ', h('progress', { 'aria-label': 'Findings are being made' }), elapsed)), 150);
  try {
    const [assessment, model] = await Promise.all([get(`/api/runs/${run}/assessment`, signal), get(`/api/runs/${run}/figure`, signal).catch((fault) => { if (fault.status === 404) return null; throw fault; })]);
    board.model = model;
    if (page.view.data?.by_eye) board.marks = (model?.marks ?? []).map(({ t_s, x, words }) => ({ t_s: t_s ?? x + 1, words }));
    page.chargeButton.disabled = (assessment.tests[0] ?? null) === null;
    const sign = assessment.logs[0]?.current_direction === 'charge positive' ? -1 : 1;
    if (!assessment.logs[0]?.by_eye && page.view.sign !== sign) { page.view.sign = sign; page.view.again(); }
    board.stops = stopMarks(assessment);
    board.redraw();
    fill(place.findings, findingsList(run, assessment, page, signal));
  } catch (fault) {
    if (fault.name !== 'AbortError') fill(place.findings, h('h2', {}, 'Findings'), faultBox(fault));
  }
  clearInterval(tick);
  clearTimeout(waits);
}

async function pick(page, fitOf, k, signal) {
  try {
    const { fit, from_s, to_s, chosen } = await fitOf(page.run, k, signal);
    if (page.view.x !== 'time') page.timeButton().click();
    if (chosen) page.board.choose(...chosen, fit);
    else page.board.clear();
    page.board.fit = fit;
    page.view.set(from_s, to_s);
    page.board.region.scrollIntoView({ block: 'start' });
    page.board.region.focus({ preventScroll: true });
  } catch (fault) {
    if (fault.name !== 'AbortError') fill(page.place.fault, faultBox(fault));
  }
}

function makePage(run, place, signal) {
  const page = { run, place, dragChooses: matchMedia('(pointer: fine)').matches, touchChooses: false };
  page.view = makeView(run, points, signal);
  page.stretch = stretchPanel({ run, choose: (a, b) => page.board.choose(a, b), clear: () => page.board.clear(), zoom: () => page.board.zoomTo(page.board.chosen), readings: (a, b) => rawReadings(run, a, b, signal) }, signal);
  page.board = makeBoard(page.view, { selects: (type) => page.dragChooses && (type !== 'touch' || page.touchChooses), settled: page.stretch.show, cleared: page.stretch.none }, signal);
  page.choose = (a, b) => { page.board.choose(a, b); page.board.region.scrollIntoView({ block: 'start' }); };
  page.goTo = (t) => { // two minutes of it, and the cursor there
    if (page.view.x !== 'time') page.timeButton().click();
    page.view.set(t - 60, t + 60);
    page.board.cursor = t;
    page.board.region.scrollIntoView({ block: 'start' });
    page.board.region.focus({ preventScroll: true });
  };
  page.pickStep = (k) => pick(page, stepFit, k, signal);
  page.pickBurst = (k) => pick(page, burstFit, k, signal);
  page.timeButton = () => page.chargeButton.parentElement.firstElementChild;
  page.readings = () => {
    const window = page.view.data?.by_eye ? [null, null] : page.view.window()?.map((x) => instantOf(page.view, x)) ?? [null, null];
    rawReadings(run, ...window, signal);
  };
  page.toggleTable = () => {
    place.table.hidden = !place.table.hidden;
    if (!place.table.hidden && page.view.data !== null) { fill(place.table, numbersInView(page.view)); place.table.firstElementChild?.focus?.(); }
  };
  page.view.on('data', () => { fill(place.fault); if (!place.table.hidden) fill(place.table, numbersInView(page.view)); });
  page.view.on('fault', (fault) => fill(place.fault, faultBox(fault)));
  return page;
}

// A recording goes on: what is seen grows, a few times a minute.
function follow(page, takeFacts, signal) {
  let last = 0;
  listen('book', (news) => {
    if (news.what !== 'run' || news.id !== page.run || Date.now() - last < 5000) return;
    last = Date.now();
    takeFacts().then(() => { page.view.again(); takeFindings(page, signal); }, () => {});
  }, signal);
}

export async function page({ main, number, query, signal, go, title }) {
  const place = { head: h('div', {}), fault: h('div', {}), table: h('div', { class: 'in-view', hidden: true }), events: h('div', {}), findings: h('div', { class: 'findings' }), papers: h('div', {}) };
  const self = makePage(number, place, signal);
  const bar = tools(self);
  const opened = self.view.open();
  const library = loadLibrary();
  const takeFacts = async () => {
    const [facts, operator] = await Promise.all([get(`/api/runs/${number}`, signal), isOperator()]);
    title(facts.name || `Run ${facts.run}`);
    fill(place.head, head(facts));
    fill(place.events, events(facts, (t) => self.goTo(t)));
    fill(place.papers, papers(facts, operator, { again: takeFacts, go }, signal));
    self.board.marks = facts.events.filter((event) => event.kind === 'mark' && event.text).map((event) => ({ t_s: event.t_s, words: event.text }));
    self.board.redraw();
  };
  fill(main, place.head, place.fault, bar, self.board.region, place.table, self.stretch.element, place.events, place.findings, place.papers);
  const facts = takeFacts();
  facts.catch(() => {}); // it is waited for below
  await library;
  await Promise.all([opened, facts]);
  if (signal.aborted) return;
  if (self.view.data?.groups.length === 0) fill(self.board.stack, emptyState('This run holds no readings.', h('p', {}, h('a', { href: '/add' }, 'Add readings'))));
  else self.board.redraw(true);
  performance.measure('run page drawn', { start: 0 });
  bindKeys(self, signal);
  if (query.has('from') && query.has('to')) self.board.choose(Number(query.get('from')), Number(query.get('to')));
  follow(self, takeFacts, signal);
  takeFindings(self, signal);
}
