// A rung of the claims ladder, small: the upright line is the claim, the bar what was found with its 95 % interval, on
// a scale of per cent of the claim that all samples of the shelf share; right is better.
import { s } from '../../core/dom.js';

const width = 184;
const height = 20;
const middle = width / 2;
const reach = middle - 8;
const beyond = 1.04;
const inks = { met: 'var(--first)', 'not met': 'var(--second)' };

const share = (value, stated, half) => (100 * (value - stated)) / stated / half;
const place = (at) => middle + Math.min(Math.max(at, -beyond), beyond) * reach;

// The least of these halves, in per cent, that holds all intervals; the largest when none does.
export function halfOf(rows) {
  let furthest = 0;
  for (const row of rows) {
    for (const key of ['charge_ah', 'energy_wh']) {
      const stated = row.digest?.claimed?.[key];
      const found = row.digest?.found?.[key];
      if (stated && found) furthest = Math.max(furthest, ...[found.low ?? found.value, found.high ?? found.value].map((value) => Math.abs(share(value, stated, 1))));
    }
  }
  return [5, 10, 20].find((half) => furthest <= half) ?? 20;
}

function arrow(side, ink) {
  const x = middle + side * beyond * reach;
  return s('path', { d: `M${x + side * 6} 10L${x - side * 2} 6V14Z`, fill: ink });
}

const line = (x1, x2, attributes) => s('line', { x1, x2, y1: 10, y2: 10, ...attributes });
const upright = (x, attributes) => s('line', { x1: x, x2: x, y1: 0, y2: height, ...attributes });

function measured(found, stated, half, verdict) {
  const ink = inks[verdict] ?? 'var(--ink)';
  const [low, at, high] = [found.low ?? found.value, found.value, found.high ?? found.value].map((value) => share(value, stated, half));
  return [
    place(high) - place(low) > 1 ? line(place(low), place(high), { stroke: ink, 'stroke-width': 5 }) : null,
    low < -beyond ? arrow(-1, ink) : null,
    high > beyond ? arrow(1, ink) : null,
    Math.abs(at) <= beyond ? s('circle', { cx: place(at), cy: 10, r: 4, fill: 'var(--paper)', stroke: ink, 'stroke-width': 2.2 }) : null,
  ];
}

// A test that did not reach the claim shows how far it got, and stops short of the line.
function reached(found, stated, half) {
  const at = share(found.value, stated, half);
  if (at < -beyond) return [line(place(-beyond), place(-beyond) + 26, { stroke: 'var(--soft)', 'stroke-width': 2, 'stroke-dasharray': '5 4' }), arrow(-1, 'var(--soft)')];
  const x = place(Math.min(at, -0.06));
  return [line(0, x, { stroke: 'var(--soft)', 'stroke-width': 2, 'stroke-dasharray': '5 4' }), s('line', { x1: x, x2: x, y1: 5, y2: 15, stroke: 'var(--soft)', 'stroke-width': 2 })];
}

const scale = () => [-1, -0.5, 0.5, 1].map((at) => upright(place(at), { stroke: 'var(--hair)' }));

// stated: a number; found: {value, low, high} or undefined. The words stand beside it: it is hidden from readers.
export function rung(stated, found, half, verdict) {
  const empty = line(middle - 34, middle + 34, { stroke: 'var(--soft)', 'stroke-width': 1.5, 'stroke-dasharray': '1.5 4' });
  return s('svg', { viewBox: `0 0 ${width} ${height}`, class: 'rung', 'aria-hidden': 'true' }, scale(),
    upright(middle, { stroke: 'var(--ink)', 'stroke-width': 2 }),
    !found ? empty : verdict === 'not exercised' ? reached(found, stated, half) : measured(found, stated, half, verdict));
}

export const halfWords = (half) => `±${half} %`;
