// What is written on the curves: phases, marks, bursts, the rated value, the end. Words come from the server's one model
// of the curve, which the printed figure is drawn from too.
import { fill, s } from '../../core/dom.js';
import { placeOf } from './view.js';

const letter = 6.4; // width of a small letter, px: roomy enough not to measure each word
export const widthOf = (words) => words.length * letter + 6;

// Marks are flags: words beside a pole, each as low as it can stand clear of the others.
function placeFlags(flags, rows) {
  const taken = [];
  let left = 0;
  for (const flag of flags) {
    const free = (row) => taken.every((other) => other.row !== row || flag.to < other.from || flag.from > other.to);
    const crosses = (row) => taken.some((other) => other.row < row && flag.x > other.from && flag.x < other.to);
    let row = 0;
    while (row < rows && (!free(row) || crosses(row))) row += 1;
    flag.row = row < rows ? row : -1;
    if (flag.row >= 0) taken.push(flag); else left += 1;
  }
  return left;
}

function drawMarks(marks, view, chart) {
  const area = chart.getArea();
  const [from, to] = view.window();
  const flags = [];
  for (const mark of marks) {
    const place = placeOf(view, mark.t_s);
    if (place === null || place < from || place > to) continue;
    const x = chart.toDomXCoord(place);
    const width = widthOf(mark.words);
    const back = x + width > area.x + area.w; // no room at its right
    flags.push({ x, back, words: mark.words, from: back ? x - width : x, to: back ? x : x + width });
  }
  flags.sort((a, b) => a.x - b.x);
  const left = placeFlags(flags, Math.max(1, Math.floor((area.h * 0.5) / 16)));
  const bottom = area.y + area.h;
  const shapes = flags.map((flag) => {
    const y = bottom - 8 - 16 * Math.max(0, flag.row);
    return [s('line', { class: 'pole', x1: flag.x, x2: flag.x, y1: flag.row < 0 ? bottom - 9 : y - 11, y2: bottom }),
      flag.row < 0 ? null : s('text', { class: 'flag', x: flag.x + (flag.back ? -4 : 4), y, 'text-anchor': flag.back ? 'end' : 'start' }, flag.words)];
  });
  if (left > 0)
    shapes.push(s('text', { class: 'flag', x: area.x + area.w, y: area.y + 12, 'text-anchor': 'end' }, `and ${left} marks more: closer, or T`));
  return shapes;
}

function drawBursts(model, view, chart) {
  const [from, to] = view.window();
  return model.bursts.slice(0, 3).map((burst) => {
    const place = placeOf(view, burst.from_s);
    if (place === null || place < from || place > to) return null;
    const x = Math.min(chart.toDomXCoord(place), chart.getArea().x + chart.getArea().w - widthOf(burst.words));
    return [s('text', { class: 'first', x, y: 14 }, burst.words), burst.cost ? s('text', { class: 'soft', x, y: 29 }, burst.cost) : null];
  });
}

function drawRated(model, view, chart) {
  const note = model.rated;
  if (!note) return null;
  const place = view.data.along === 'charge' ? note.x : note.t_s;
  const [from, to] = view.window();
  const area = chart.getArea();
  if (place === null || place < from || place > to) return null;
  const x = chart.toDomXCoord(place);
  return [s('line', { class: 'rated', x1: x, x2: x, y1: area.y - 6, y2: area.y + area.h }),
    s('text', { class: 'soft', x: x - 6, y: area.y + 10, 'text-anchor': 'end' }, note.words)];
}

function drawEnd(model, view, chart) {
  const note = model.end;
  if (!note) return null;
  const place = view.data.along === 'charge' ? note.x : note.t_s;
  const [from, to] = view.window();
  const area = chart.getArea();
  if (place === null || place < from || place > to) return null;
  const x = chart.toDomXCoord(place);
  const width = widthOf(note.words);
  const y = Math.min(Math.max(chart.toDomYCoord(note.v), area.y + 14), area.y + area.h - 6);
  const back = x - width > area.x;
  return [s('circle', { class: 'end', cx: x, cy: y, r: 4 }),
    s('text', { class: 'first', x: x + (back ? -8 : 8), y: y - 6, 'text-anchor': back ? 'end' : 'start' }, note.words)];
}

// Over the volts. `model`: null until the findings are there.
export function drawNotes(svg, { model, marks, view, chart, fit }) {
  fill(svg, model ? [fit ? null : drawBursts(model, view, chart), drawRated(model, view, chart), drawEnd(model, view, chart)] : null,
    drawMarks(marks, view, chart), fit ? fit(chart) : null);
}

// The strip between volts and amps: one bar a phase, named where the name fits; a press chooses it.
export function drawPhases(svg, { model, view, chart, choose }) {
  const area = chart.getArea();
  const [from, to] = view.window();
  fill(svg, (model?.phases ?? []).map((phase) => {
    const start = placeOf(view, phase.from_s);
    const end = placeOf(view, phase.to_s);
    if (start === null || end < from || start > to || !(end > start)) return null;
    const x1 = Math.max(area.x, chart.toDomXCoord(start));
    const x2 = Math.min(area.x + area.w, chart.toDomXCoord(end));
    const name = phase.name === 'rest' || phase.kind === 'discharge' ? phase.name : `${phase.kind}, ${phase.name}`;
    const middle = (x1 + x2) / 2;
    const half = widthOf(name) / 2 + 3;
    const named = 2 * half + 10 < x2 - x1;
    return s('g', { class: 'phase', onclick: () => choose(phase) }, s('title', {}, name),
      s('rect', { x: x1, y: 0, width: Math.max(1, x2 - x1), height: 26 }),
      s('path', { d: `M${x1} 8v10M${x2} 8v10M${x1} 13H${named ? `${middle - half}M${middle + half} 13H` : ''}${x2}` }),
      named ? s('text', { x: middle, y: 17, 'text-anchor': 'middle' }, name) : null);
  }));
}
