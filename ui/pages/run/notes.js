// What is written on the curves: phases, marks, bursts, the rated value, the end. Words come from the server's one model
// of the curve, which the printed figure is drawn from too.
import { fill, s } from '../../core/dom.js';
import { placeOf } from './view.js';

const letter = 6.4; // width of a small letter, px: roomy enough not to measure each word
export const widthOf = (words) => words.length * letter + 6;

const rowHeight = 16;
const crosses = (x, box) => x > box.from && x < box.to;

// Marks are flags: words beside a pole, each as low as it can stand so that no words meet and no pole runs through them.
function placeFlags(flags, rows, obstacles, bottom) {
  const placed = [];
  const fits = (flag, row) => {
    const y = bottom - 8 - rowHeight * row;
    return obstacles.every((box) => flag.to < box.from || flag.from > box.to || y - 12 > box.bottom || y + 4 < box.top) &&
      placed.every((other) => (other.row !== row || flag.to < other.from || flag.from > other.to) &&
        !(crosses(other.x, flag) && other.row >= row) && !(crosses(flag.x, other) && row > other.row));
  };
  for (const flag of flags) {
    flag.row = [...Array(rows).keys()].find((row) => fits(flag, row)) ?? -1;
    if (flag.row >= 0) placed.push(flag);
  }
  return flags.length - placed.length;
}

// Returns how many found no room.
function drawMarks(svg, marks, view, chart, obstacles) {
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
  flags.sort((a, b) => b.x - a.x); // from the right: what stands left of a pole goes over it
  const bottom = area.y + area.h;
  const left = placeFlags(flags, Math.max(1, Math.floor((area.h * 0.6) / rowHeight)), obstacles, bottom);
  for (const flag of flags) {
    const y = bottom - 8 - rowHeight * Math.max(0, flag.row);
    svg.append(s('line', { class: 'pole', x1: flag.x, x2: flag.x, y1: flag.row < 0 ? bottom - 9 : y - 11, y2: bottom }));
    if (flag.row >= 0) svg.append(s('text', { class: 'flag', x: flag.x + (flag.back ? -4 : 4), y, 'text-anchor': flag.back ? 'end' : 'start' }, flag.words));
  }
  return left;
}

function drawBursts(model, view, chart) {
  const [from, to] = view.window();
  return model.bursts.slice(0, 3).map((burst) => {
    const place = placeOf(view, burst.from_s);
    if (place === null || place < from || place > to) return null;
    const width = Math.max(widthOf(burst.words), widthOf(burst.cost));
    const x = Math.max(4, Math.min(chart.toDomXCoord(place), chart.getArea().x + chart.getArea().w - width));
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
  const under = model.bursts.slice(0, 3).some((burst) => { // below the words of a burst, where they would meet
    const at = chart.toDomXCoord(placeOf(view, burst.from_s));
    return at < x && at + Math.max(widthOf(burst.words), widthOf(burst.cost)) > x - widthOf(note.words);
  });
  return [s('line', { class: 'rated', x1: x, x2: x, y1: area.y - 6, y2: area.y + area.h }),
    s('text', { class: 'soft', x: x - 6, y: area.y + (under ? 46 : 10), 'text-anchor': 'end' }, note.words)];
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

// Over the volts. `model`: null until the findings are there. Returns how many marks found no room.
export function drawNotes(svg, { model, marks, view, chart, fit }) {
  fill(svg, model ? [fit ? null : drawBursts(model, view, chart), drawRated(model, view, chart), drawEnd(model, view, chart)] : null, fit ? fit(chart) : null);
  const obstacles = [...svg.querySelectorAll('text')].map((text) => {
    const { x, y, width, height } = text.getBBox();
    return { from: x, to: x + width, top: y, bottom: y + height };
  });
  return drawMarks(svg, marks, view, chart, obstacles);
}

const bars = 300; // so many are drawn however narrow; of more, those that can be seen

// The strip between volts and amps: one bar a phase, named where the name fits; a press chooses it.
export function drawPhases(svg, { model, view, chart, choose }) {
  const area = chart.getArea();
  const [from, to] = view.window();
  const seen = (model?.phases ?? []).map((phase) => ({ phase, start: placeOf(view, phase.from_s), end: placeOf(view, phase.to_s) }))
    .filter(({ start, end }) => start !== null && end >= from && start <= to && end > start);
  const least = seen.length > bars ? (2 * (to - from)) / area.w : 0;
  fill(svg, seen.filter(({ start, end }) => end - start >= least).map(({ phase, start, end }) => {
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
