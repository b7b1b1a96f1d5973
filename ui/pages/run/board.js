// The board: the charts one below the other on one x, what is written on them, the chosen stretch, the cursor.
import { fill, h, s } from '../../core/dom.js';
import { clockTime } from '../../core/numbers.js';
import { onSetting, setting } from '../../core/settings.js';
import { inkOf, makeChart, quantities, rangeOf, rowsOf } from './charts.js';
import { handle } from './hands.js';
import { drawNotes, drawPhases } from './notes.js';
import { placesOf, wordsAt } from './numbers.js';
import { instantOf, placeOf } from './view.js';

function chartName(quantity, board) {
  const { model, view } = board;
  const group = view.data.groups.find((one) => quantity.channels.some((channel) => channel in one.channels));
  const bounds = quantity.channels.some((channel) => group?.channels[channel]?.bounds);
  if (quantity.key === 'volts') return model?.volts_name ?? (view.data.by_eye ? 'volts, as read' : 'volts');
  if (quantity.key === 'amps') return view.data.sign === 0 ? 'amps as logged: which way they count cannot be told' : model?.amps_name ?? 'amps';
  if (quantity.key === 'watts' && bounds) return 'watts: volts × amps, at least and at most';
  if (quantity.key === 'degc') return group && 'ambient' in group.channels ? 'temperature, and that of the room (dotted)' : 'temperature';
  return quantity.name;
}

// A channel's look; the second of a chart is dotted.
function lookOf(quantity, view) {
  return (channel) => ({
    readings: view.data.readings, byEye: view.data.by_eye, square: quantity.key === 'amps',
    dash: quantity.channels.indexOf(channel) > 0 ? [2, 4] : quantity.dash, ink: quantity.channels.indexOf(channel) > 0 ? '--soft' : quantity.ink,
  });
}

function under(board) {
  return (context, area, chart) => {
    const band = (from, to) => {
      const [a, b] = [chart.toDomXCoord(from), chart.toDomXCoord(to)];
      context.fillRect(Math.max(area.x, a), area.y, Math.min(area.x + area.w, b) - Math.max(area.x, a), area.h);
    };
    context.save();
    context.fillStyle = inkOf('--band');
    for (const burst of board.model?.bursts ?? []) {
      const [from, to] = [placeOf(board.view, burst.from_s), placeOf(board.view, burst.to_s)];
      if (from !== null && to > from) band(from, to);
    }
    if (board.chosen !== null) {
      context.globalAlpha = 0.14;
      context.fillStyle = inkOf('--first');
      const places = board.chosen.map((t) => placeOf(board.view, t));
      if (places[0] !== null) band(...places);
      context.globalAlpha = 1;
      context.strokeStyle = inkOf('--first');
      for (const place of places) {
        const x = Math.round(chart.toDomXCoord(place)) + 0.5;
        context.beginPath();
        context.moveTo(x, area.y);
        context.lineTo(x, area.y + area.h);
        context.stroke();
      }
    }
    context.restore();
  };
}

function build(board) {
  board.charts.forEach((one) => one.chart.destroy());
  board.charts = [];
  fill(board.stack);
  const present = quantities.filter((quantity) => rowsOf(board.view.data, quantity.channels).present.length > 0);
  present.forEach((quantity, k) => {
    const host = h('div', { class: `chart ${quantity.tall ? 'tall' : ''} ${k === present.length - 1 ? 'last' : ''}` });
    const name = h('p', { class: 'chart-name' });
    const notes = s('svg', { class: 'chart-notes', 'aria-hidden': 'true' });
    const hair = h('div', { class: 'hair', hidden: true });
    board.stack.append(h('div', { class: 'chart-row' }, name, h('span', { class: 'chart-unit' }, quantity.unit === '°C' ? setting('temperature') : quantity.unit), h('div', { class: 'chart-frame' }, host, notes, hair)));
    if (k === 0) board.stack.append(board.phases);
    const chart = makeChart(window.Dygraph, host, quantity, board.view, k === present.length - 1, lookOf(quantity, board.view), under(board));
    board.charts.push({ quantity, chart, name, notes, hair });
  });
  board.shape = shapeOf(board.view.data);
}

const shapeOf = (data) => data.groups.map((group) => Object.keys(group.channels).join()).join(';');

function drawAround(board) {
  const lead = board.charts[0];
  const volts = board.charts.find((one) => one.quantity.key === 'volts');
  for (const one of board.charts) {
    one.name.textContent = chartName(one.quantity, board);
    if (one !== volts) fill(one.notes);
  }
  if (volts) board.left = drawNotes(volts.notes, { model: board.model, marks: [...board.marks, ...board.stops], view: board.view, chart: volts.chart, fit: board.view.data.along === 'time' ? board.fit : null });
  drawPhases(board.phases, { model: board.model, view: board.view, chart: lead.chart, choose: (phase) => board.choose(phase.from_s, phase.to_s) });
  board.phases.toggleAttribute('hidden', !board.model);
  showCursor(board);
}

function showCursor(board) {
  const place = board.view.full === null ? null : board.cursor;
  for (const one of board.charts) {
    const area = one.chart.getArea();
    const x = place === null ? -1 : one.chart.toDomXCoord(place);
    one.hair.hidden = !(x >= area.x && x <= area.x + area.w);
    if (!one.hair.hidden) Object.assign(one.hair.style, { left: `${x}px`, top: `${area.y}px`, height: `${area.h}px` });
  }
  board.readout.textContent = place === null ? board.about() : wordsAt(board.view, place);
}

// The new window at once, with what is there; the new data as soon as they come.
function draw(board, fresh) {
  if (board.view.data === null || board.view.full === null || window.Dygraph === undefined) return;
  if (board.charts.length === 0 || shapeOf(board.view.data) !== board.shape) build(board);
  else {
    const seen = board.view.window();
    for (const one of board.charts) {
      if (fresh) one.rows = null;
      one.rows ??= rowsOf(board.view.data, one.quantity.channels).rows;
      one.chart.updateOptions({ ...(fresh ? { file: one.rows } : {}), dateWindow: seen, valueRange: rangeOf(one.rows, seen, one.quantity) });
    }
  }
  drawAround(board);
}

function brushOf(board, settled) {
  let pending = null;
  return {
    draw(a, b) { pending = [instantOf(board.view, Math.min(a, b)), instantOf(board.view, Math.max(a, b))]; board.chosen = pending; board.redraw(); },
    settle() { if (pending !== null) settled(...pending); pending = null; },
    drop() { pending = null; },
    edge(which) {
      if (board.cursor === null) return;
      const t = instantOf(board.view, board.cursor);
      const [from, to] = board.chosen ?? board.view.window().map((x) => instantOf(board.view, x));
      const next = which === 0 ? [t, to] : [from, t];
      settled(Math.min(...next), Math.max(...next));
    },
    zoom() { board.zoomTo(board.chosen); },
    clear() { board.clear(); },
  };
}

function cursorOf(board) {
  return {
    to(place) { board.cursor = place; showCursor(board); },
    step(by) {
      const places = placesOf(board.view);
      if (places.length === 0 || board.view.full === null) return;
      const [from, to] = board.view.window();
      let k = board.cursor === null ? places.findIndex((x) => x >= (from + to) / 2) : places.findIndex((x) => x >= board.cursor) + by;
      if (board.view.data.readings === false && board.cursor !== null) k += by * 9; // a hundredth of what is seen, or so
      board.cursor = places[Math.max(0, Math.min(places.length - 1, k))];
      if (board.cursor < from || board.cursor > to) board.view.pan(by * 0.4);
      showCursor(board);
    },
  };
}

// `settled(from_s, to_s)`: a stretch was chosen. The board is the page's: model, marks, fit are set from outside.
export function makeBoard(view, { selects, settled, cleared }, signal) {
  const region = h('div', { class: 'board', tabindex: '0', role: 'group', 'aria-label': 'Charts of volts, amps, watts and temperature. T shows them as a table.' });
  const stack = h('div', { class: 'stack' });
  const readout = h('p', { class: 'readout', 'aria-live': 'polite' });
  const board = { view, region, stack, readout, phases: s('svg', { class: 'phases', hidden: true }), charts: [], shape: '', model: null, marks: [], stops: [], left: 0, fit: null, chosen: null, cursor: null };
  let due = 0;
  board.redraw = (fresh = false) => {
    if (fresh) { cancelAnimationFrame(due); due = 0; draw(board, true); return; }
    due ||= requestAnimationFrame(() => { due = 0; draw(board, false); });
  };
  board.about = () => {
    if (view.data === null || view.full === null) return '';
    const [from, to] = view.window();
    const place = (x) => (view.data.along === 'time' ? clockTime(x) : view.data.along === 'charge' ? `${x.toFixed(2)} Ah` : `reading ${Math.round(x)}`);
    return `${place(from)} to ${place(to)}, ${view.data.by_eye ? 'as read by eye' : view.data.readings ? 'every reading' : 'least and most of each part'}${board.left > 0 ? `; ${board.left} mark${board.left === 1 ? '' : 's'} more than there is room for` : ''}`;
  };
  board.choose = (from, to, fit = null) => { board.chosen = [from, to]; board.fit = fit; board.redraw(); settled(from, to); };
  board.clear = () => { board.chosen = null; board.fit = null; board.redraw(); cleared(); };
  board.zoomTo = (stretch, room = 0.15) => {
    if (stretch === null) return;
    const [a, b] = stretch.map((t) => placeOf(view, t));
    view.set(a - room * (b - a), b + room * (b - a));
  };
  view.on('window', () => board.redraw());
  view.on('data', () => board.redraw(true));
  fill(region, stack, readout);
  handle({ region, chart: () => board.charts[0]?.chart ?? null, view, brush: brushOf(board, (from, to) => board.choose(from, to)), cursor: cursorOf(board), selects }, signal);
  const anew = () => { if (board.charts.length > 0) { build(board); draw(board, false); } };
  onSetting(() => requestAnimationFrame(anew), signal);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', anew, { signal });
  const sized = new ResizeObserver(() => { board.charts.forEach((one) => one.chart.resize()); if (board.charts.length > 0) drawAround(board); });
  sized.observe(region);
  signal.addEventListener('abort', () => { sized.disconnect(); board.charts.forEach((one) => one.chart.destroy()); });
  return board;
}
