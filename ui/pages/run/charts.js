// The charts, one a quantity, drawn by dygraphs and moved together: bands of the least and the most where many readings
// share a point, the readings as dots where they have room.
import { h } from '../../core/dom.js';
import { fixed, signed } from '../../core/numbers.js';
import { setting } from '../../core/settings.js';

let library = null;

// Names stand on the curves: the library's legend, which sets styles from markup, is left out.
function bare(Dygraph) {
  Dygraph.PLUGINS = Dygraph.PLUGINS.filter((plugin) => plugin !== Dygraph.Plugins.Legend);
}

export function loadLibrary() {
  library ??= new Promise((resolve, reject) => {
    document.head.append(h('link', { rel: 'stylesheet', href: '/ui/lib/dygraph.min.css' }),
      h('script', { src: '/ui/lib/dygraph.min.js', onload: () => resolve(bare(window.Dygraph)), onerror: () => reject(new Error('The chart library cannot be loaded')) }));
  });
  return library;
}

// In the order of the page. `second`: the plum of the sheet's amps; dashes tell series apart without colour.
export const quantities = [
  { key: 'volts', channels: ['voltage'], unit: 'V', name: 'volts', ink: '--first', dash: null, tall: true },
  { key: 'amps', channels: ['current'], unit: 'A', name: 'amps', ink: '--second', dash: [7, 4], zero: true },
  { key: 'watts', channels: ['power'], unit: 'W', name: 'watts', ink: '--ink', dash: null, zero: true },
  { key: 'degc', channels: ['temperature', 'ambient'], unit: '°C', name: 'temperature', ink: '--first', dash: null },
];

export const inkOf = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();

// ---- scales along x ----

const seconds = [1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400];
function niceStep(least, time) {
  if (time && least >= 0.5 && least <= 86400) return seconds.find((step) => step >= least) ?? 86400;
  const power = 10 ** Math.floor(Math.log10(least));
  return power * [1, 2, 5, 10].find((step) => step * power >= least * 0.999);
}

function timeLabel(t, step) {
  const sign = t < 0 ? '\u2212' : '';
  const whole = Math.floor(Math.abs(t) + 1e-9);
  const pad = (n) => String(n).padStart(2, '0');
  const head = `${sign}${Math.floor(whole / 3600)}:${pad(Math.floor(whole / 60) % 60)}`;
  if (step >= 60) return head;
  const part = step < 1 ? (Math.abs(t) - whole).toFixed(Math.ceil(-Math.log10(step) - 1e-9)).slice(1) : '';
  return signed(`${head}:${pad(whole % 60)}${part}`);
}

export function ticksAlong(along) {
  return (from, to, pixels) => {
    const time = along() === 'time';
    const step = niceStep((to - from) / Math.max(2, pixels / (time ? 90 : 70)), time);
    const ticks = [];
    for (let v = Math.ceil(from / step - 1e-9) * step; v <= to + step * 1e-9; v += step)
      ticks.push({ v, label: time ? timeLabel(v, step) : signed(String(Number(v.toPrecision(10)))) });
    return ticks;
  };
}

// ---- lines, bands, dots ----

function runsOf(points) {
  const runs = [];
  let run = [];
  for (const point of points) {
    if (Number.isFinite(point.canvasy)) run.push(point);
    else if (run.length > 0) { runs.push(run); run = []; }
  }
  if (run.length > 0) runs.push(run);
  return runs;
}

function drawBand(context, area, run) {
  const top = (point) => area.y + area.h * point.y_top;
  const bottom = (point) => area.y + area.h * point.y_bottom;
  context.beginPath();
  run.forEach((point, k) => context[k === 0 ? 'moveTo' : 'lineTo'](point.canvasx, top(point)));
  for (let k = run.length - 1; k >= 0; k -= 1) context.lineTo(run[k].canvasx, bottom(run[k]));
  context.closePath();
  context.globalAlpha = 0.32;
  context.fill();
  context.globalAlpha = 1;
  context.lineWidth = 1;
  context.setLineDash([]);
  context.stroke(); // so that a band of no height is a line
}

function drawReadings(context, area, run, look) {
  context.setLineDash(look.byEye ? [1, 4] : look.dash ?? []);
  context.lineWidth = look.byEye ? 1 : 1.6;
  context.beginPath();
  run.forEach((point, k) => context[k === 0 ? 'moveTo' : 'lineTo'](point.canvasx, point.canvasy));
  context.stroke();
  context.setLineDash([]);
  const apart = run.length > 1 ? (run.at(-1).canvasx - run[0].canvasx) / (run.length - 1) : Infinity;
  if (apart < 3.5) return;
  const size = look.byEye ? 3.2 : Math.min(2.6, apart / 2.5);
  for (const point of run) {
    if (look.byEye || point.y_top !== point.y_bottom) { // what was typed allows so much
      context.lineWidth = 1.4;
      context.beginPath();
      context.moveTo(point.canvasx, area.y + area.h * point.y_top);
      context.lineTo(point.canvasx, area.y + area.h * point.y_bottom);
      context.stroke();
    }
    context.beginPath();
    if (look.square) context.rect(point.canvasx - size, point.canvasy - size, 2 * size, 2 * size);
    else context.arc(point.canvasx, point.canvasy, size, 0, 2 * Math.PI);
    if (look.byEye) { context.fillStyle = inkOf('--paper'); context.fill(); context.stroke(); } else context.fill();
  }
}

// `look()`: {readings, byEye, dash, square, ink}
export function plotterOf(look) {
  return (e) => {
    const context = e.drawingContext;
    const now = look(e.setName);
    context.save();
    context.strokeStyle = context.fillStyle = inkOf(now.ink);
    for (const run of runsOf(e.points)) {
      if (now.readings) drawReadings(context, e.plotArea, run, now);
      else drawBand(context, e.plotArea, run);
    }
    context.restore();
  };
}

// ---- one chart ----

// Rows of dygraphs with custom bars: [x, [least, middle, most], …], one triple a channel.
export function rowsOf(data, channels) {
  const group = data.groups.find((one) => channels.some((channel) => channel in one.channels));
  if (group === undefined) return { rows: [], present: [] };
  const present = channels.filter((channel) => channel in group.channels);
  const x = data.along === 'charge' && group.ah ? group.ah : group.t;
  const lists = present.map((channel) => {
    const { min, max, at } = group.channels[channel];
    return { min, max: max ?? min, at };
  });
  const rows = new Array(x.length);
  for (let k = 0; k < x.length; k += 1) {
    const row = [x[k]];
    for (const { min, max, at } of lists) {
      const middle = at ? at[k] : min[k] === null ? null : (min[k] + max[k]) / 2;
      row.push(middle === null ? [null, null, null] : [min[k] ?? middle, middle, max[k] ?? middle]);
    }
    rows[k] = row;
  }
  return { rows, present };
}

const digitsOf = (range, pixels) => Math.max(0, Math.min(6, Math.ceil(-Math.log10((range * 40) / pixels))));

// Volts far below what is usual are those of a terminal gone dark: the scale leaves them out while others are in view.
export function rangeOf(rows, window, quantity) {
  let low = Infinity;
  let high = -Infinity;
  const lows = [];
  for (const row of rows) {
    if (row[0] < window[0] || row[0] > window[1]) continue;
    for (let k = 1; k < row.length; k += 1) {
      if (row[k][1] === null) continue;
      if (row[k][0] < low) low = row[k][0];
      if (row[k][2] > high) high = row[k][2];
      if (quantity.key === 'volts') lows.push(row[k][0]);
    }
  }
  if (!(low <= high)) return null;
  if (lows.length > 4) {
    lows.sort((a, b) => a - b);
    const usual = lows[lows.length >> 1];
    if (low < usual / 2) low = lows.find((value) => value >= usual / 2);
  }
  if (quantity.zero) { low = Math.min(0, low); high = Math.max(0, high); }
  const room = high > low ? 0.06 * (high - low) : Math.max(0.5, Math.abs(high) * 0.02);
  return [quantity.zero && low === 0 ? 0 : low - room, high + room];
}

export function makeChart(Dygraph, host, quantity, view, last, look, under) {
  const { rows, present } = rowsOf(view.data, quantity.channels);
  const window = view.window();
  const celsius = () => quantity.unit !== '°C' || setting('temperature') === '°C';
  return new Dygraph(host, rows, {
    labels: ['x', ...present], customBars: true, legend: 'never', interactionModel: {}, highlightCircleSize: 0,
    plotter: plotterOf(look), underlayCallback: under, rightGap: 8, xAxisHeight: 22, fillAlpha: 0,
    dateWindow: window, valueRange: rangeOf(rows, window, quantity),
    gridLineColor: inkOf('--hair'), axisLineColor: inkOf('--soft'), axisLabelFontSize: 12, animatedZooms: false,
    axes: {
      x: { drawAxis: last, drawGrid: false, ticker: ticksAlong(() => view.data.along) },
      y: {
        axisLabelWidth: 48, pixelsPerLabel: 32,
        axisLabelFormatter: (value, granularity, opts, chart) => {
          const [low, high] = chart.yAxisRange(0);
          return fixed(celsius() ? value : value * 1.8 + 32, digitsOf(high - low, chart.getArea().h));
        },
      },
    },
  });
}
