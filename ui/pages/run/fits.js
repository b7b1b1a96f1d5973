// A step or a burst drawn over the readings: what was carried, what was read, and what lies between the two.
import { get } from '../../core/ask.js';
import { s } from '../../core/dom.js';
import { measured, significant } from '../../core/numbers.js';
import { widthOf } from './notes.js';

const path = (chart, t, v) => t.map((at, k) => `${k === 0 ? 'M' : 'L'}${chart.toDomXCoord(at)} ${chart.toDomYCoord(v[k])}`).join('');

// The volts before a step, carried on; at each delay what was lost against them.
function drawStep(step) {
  return (chart) => [
    s('path', { class: 'read', d: path(chart, step.before.t_s, step.before.v) }),
    s('path', { class: 'carried', d: path(chart, step.carried.t_s, step.carried.v) }),
    step.values.map((value, k) => {
      const x = chart.toDomXCoord(value.t_s);
      const [y1, y2] = [chart.toDomYCoord(value.before_v), chart.toDomYCoord(value.after_v)];
      const words = `${k === 0 ? 'first reading' : `${significant(value.delay_s, 2)} s`}: ${measured(value.ohm)}`;
      const back = x + widthOf(words) > chart.getArea().x + chart.getArea().w;
      return [s('line', { class: 'drop', x1: x, x2: x, y1, y2 }), s('circle', { class: 'end', cx: x, cy: y2, r: 3.5 }),
        s('text', { class: 'value', x: x + (back ? -6 : 6), y: (y1 + y2) / 2 + (k - 1.5) * 16, 'text-anchor': back ? 'end' : 'start' }, words)];
    }),
  ];
}

export async function stepFit(run, k, signal) {
  const step = await get(`/api/runs/${run}/steps/${k + 1}`, signal);
  return { fit: drawStep(step), from_s: step.from_s, to_s: step.to_s, chosen: null };
}

// The base load's volts across a burst: what lies below them was lost.
function drawBurst(burst) {
  return (chart) => [
    s('path', { class: 'lost', d: `${path(chart, burst.t_s, burst.base_v)}${[...burst.t_s.keys()].reverse().map((k) => `L${chart.toDomXCoord(burst.t_s[k])} ${chart.toDomYCoord(burst.read_v[k])}`).join('')}Z` }),
    s('path', { class: 'carried', d: path(chart, burst.t_s, burst.base_v) }),
    s('text', { class: 'value', x: chart.toDomXCoord(burst.end_s) + 10, y: chart.toDomYCoord((burst.base_v[0] + Math.min(...burst.read_v)) / 2) },
      burst.cost_wh.value === null ? 'what it cost cannot be told' : `between the base load carried across (dashed) and the volts: ${measured(burst.cost_wh)}`),
  ];
}

export async function burstFit(run, k, signal) {
  const burst = await get(`/api/runs/${run}/bursts/${k + 1}`, signal);
  return { fit: drawBurst(burst), from_s: burst.from_s, to_s: burst.to_s, chosen: [burst.start_s, burst.end_s] };
}
