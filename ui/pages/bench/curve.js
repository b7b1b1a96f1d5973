// The curve so far, drawn as it grows: volts above, amps below, on one axis of time; what is expected stands on it as
// an interval.
import { fill, s } from '../../core/dom.js';
import { clockTime, fixed } from '../../core/numbers.js';

const most = 1500; // points; then every second one goes
// In pixels, so that letters keep their size on a phone.
function boxFor(place) {
  const width = Math.max(place.clientWidth || 1000, 300);
  const wide = width > 600;
  return { width, left: wide ? 64 : 46, right: wide ? 90 : 66, top: 8, volts: wide ? 230 : 150, gap: 26, amps: wide ? 110 : 80, bottom: 32 };
}

export function newCurve() {
  return { voltage_v: { t: [], low: [], high: [] }, current_a: { t: [], low: [], high: [] } };
}

export function fillCurve(curve, read) {
  for (const key of Object.keys(curve)) {
    const { t, low, high } = curve[key];
    const from = read[key];
    const newer = from.t_s.length === 0 ? -1 : from.t_s.at(-1);
    const keep = t.findIndex((at) => at > newer);
    const rest = keep < 0 ? { t: [], low: [], high: [] } : { t: t.slice(keep), low: low.slice(keep), high: high.slice(keep) };
    curve[key] = { t: from.t_s.concat(rest.t), low: from.low.concat(rest.low), high: from.high.concat(rest.high) };
  }
}

// Two neighbours become one stretch: nothing that was reached is lost.
function thin(line) {
  const half = { t: [], low: [], high: [] };
  for (let k = 0; k < line.t.length; k += 2) {
    const n = Math.min(k + 1, line.t.length - 1);
    half.t.push(line.t[n]);
    half.low.push(Math.min(line.low[k], line.low[n]));
    half.high.push(Math.max(line.high[k], line.high[n]));
  }
  return half;
}

export function growCurve(curve, state) {
  for (const key of Object.keys(curve)) {
    const value = state[key];
    const line = curve[key];
    if (value === null || value === undefined || !(state.t_s > (line.t.at(-1) ?? -1))) continue;
    line.t.push(state.t_s);
    line.low.push(value);
    line.high.push(value);
    if (line.t.length > most) curve[key] = thin(line);
  }
}

function niceStep(span, parts) {
  const rough = span / parts;
  const power = 10 ** Math.floor(Math.log10(rough));
  return [1, 2, 5, 10].map((n) => n * power).find((step) => step >= rough);
}

const timeSteps = [10, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400];

function ticksOf(low, high, step) {
  const list = [];
  for (let at = Math.ceil(low / step) * step; at <= high + step * 1e-9; at += step) list.push(at);
  return list;
}

function rangeOf(line, least) {
  let low = Infinity;
  let high = -Infinity;
  for (const value of line.low) low = Math.min(low, value);
  for (const value of line.high) high = Math.max(high, value);
  if (low > high) return null;
  const pad = Math.max((high - low) * 0.06, least);
  return { low: low - pad, high: high + pad };
}

const dots = (line, x, y, colour) => line.t.map((t, k) => s('circle', { cx: x(t), cy: y(line.high[k]), r: 3.5, fill: colour }));

// From the highs forth and the lows back where they differ, as a band with its line.
function drawLine(line, x, y, colour, byEye) {
  if (line.t.length === 0) return null;
  const at = (k, values) => `${x(line.t[k]).toFixed(1)} ${y(values[k]).toFixed(1)}`;
  const points = line.t.map((_, k) => at(k, line.high));
  const back = line.t.map((_, k) => at(k, line.low)).reverse();
  return s('path', { d: `M${points.concat(back).join('L')}Z`, fill: colour, stroke: colour, 'stroke-width': byEye ? 0.8 : 2, 'stroke-linejoin': 'round' });
}

function panel(box, line, range, top, height, x, unit, colour, byEye) {
  const y = (value) => top + height - ((value - range.low) / (range.high - range.low)) * height;
  const step = niceStep(range.high - range.low, height / 36);
  const digits = Math.max(0, -Math.floor(Math.log10(step)));
  const marks = ticksOf(range.low, range.high, step).map((value) => [
    s('line', { x1: box.left, x2: box.width - box.right, y1: y(value), y2: y(value), stroke: 'var(--hair)' }),
    s('text', { x: box.left - 8, y: y(value) + 5, 'text-anchor': 'end' }, fixed(value, digits)),
  ]);
  const last = line.t.length - 1;
  const label = last < 0 ? null : s('text', { x: x(line.t[last]) + 8, y: y(line.high[last]) + 5, fill: colour, class: 'direct' },
    fixed(line.high[last], 2, unit));
  return [marks, drawLine(line, x, y, colour, byEye), byEye ? dots(line, x, y, colour) : null, label];
}

// An instant that is expected: its 95 % interval across both panels.
function expectation(box, name, measure, state, x, to_s) {
  if (!measure || measure.value === null || measure.lo === null || measure.value <= state.t_s || measure.lo > to_s) return null;
  const from = x(Math.max(measure.lo, state.t_s));
  const to = x(Math.min(measure.hi, to_s));
  return s('g', {},
    s('rect', { x: from, y: box.top, width: Math.max(to - from, 1), height: box.volts + box.gap + box.amps, fill: 'var(--band)' }),
    s('text', { x: (from + to) / 2, y: box.top + 14, 'text-anchor': 'middle', class: 'direct' }, name));
}

function endOf(state, lines) {
  const last = Math.max(state.t_s, ...lines.map((line) => line.t.at(-1) ?? 0), 60);
  const ahead = state.cut_off_at_s;
  const far = state.state === 'recording' && ahead && ahead.value !== null && Number.isFinite(ahead.hi ?? ahead.value);
  return far ? Math.max(last * 1.04, Math.min(ahead.hi ?? ahead.value, last * 12) * 1.02) : last * 1.04;
}

export function drawCurve(place, curve, state) {
  const volts = curve.voltage_v;
  const amps = curve.current_a;
  const ranges = [rangeOf(volts, 0.02), rangeOf(amps, 0.5)];
  if (ranges.every((range) => range === null)) return fill(place);
  const box = boxFor(place);
  const to_s = endOf(state, [volts, amps]);
  const x = (t) => box.left + (t / to_s) * (box.width - box.left - box.right);
  const step = timeSteps.find((one) => to_s / one <= box.width / 110) ?? 86400;
  const bottom = box.top + box.volts + box.gap + box.amps;
  const times = ticksOf(0, to_s, step).map((t) => [
    s('line', { x1: x(t), x2: x(t), y1: bottom, y2: bottom + 5, stroke: 'var(--ink)' }),
    s('text', { x: x(t), y: bottom + 22, 'text-anchor': 'middle' }, clockTime(t)),
  ]);
  fill(place, s('svg', { viewBox: `0 0 ${box.width} ${bottom + box.bottom}`, role: 'img', 'aria-label': `Volts and amps of the run so far, up to ${clockTime(state.t_s)}`, class: 'curve' },
    expectation(box, 'cut-off', state.cut_off_at_s, state, x, to_s),
    ranges[0] && panel(box, volts, ranges[0], box.top, box.volts, x, 'V', 'var(--first)', state.by_eye),
    ranges[1] && panel(box, amps, ranges[1], box.top + box.volts + box.gap, box.amps, x, 'A', 'var(--second)', state.by_eye),
    s('line', { x1: box.left, x2: box.width - box.right, y1: bottom, y2: bottom, stroke: 'var(--ink)', 'stroke-width': 1.5 }), times));
}

// The same as numbers: so many equal parts of the time, each with the least and the most that was read in it.
export function curveRows(curve, parts = 40) {
  const all = Object.values(curve).flatMap(({ t }) => (t.length > 0 ? [t[0], t.at(-1)] : []));
  const from = Math.min(...all);
  const step = (Math.max(...all) - from) / parts || 1;
  const rows = Array.from({ length: parts }, (_, k) => ({ from_s: from + k * step }));
  for (const [key, { t, low, high }] of Object.entries(curve)) {
    t.forEach((at, k) => {
      const row = rows[Math.min(Math.floor((at - from) / step), parts - 1)];
      const [least, greatest] = row[key] ?? [Infinity, -Infinity];
      row[key] = [Math.min(least, low[k]), Math.max(greatest, high[k])];
    });
  }
  return rows.filter((row) => row.voltage_v || row.current_a);
}
