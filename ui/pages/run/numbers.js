// The charts as numbers: what is in view as a table, and the readings as they came.
import { get } from '../../core/ask.js';
import { h } from '../../core/dom.js';
import { clockTime, fixed, significant, temperature } from '../../core/numbers.js';
import { emptyState, openDialog, show, table } from '../../core/parts.js';
import { setting } from '../../core/settings.js';

const names = { voltage: 'Volts', current: 'Amps', power: 'Watts', temperature: 'Temperature', ambient: 'Room' };
const unitOf = (channel) => (channel.unit === '°C' ? setting('temperature') : channel.unit);
const most = 60;

function cell(channel, name, k, last) {
  let low = Infinity;
  let high = -Infinity;
  const max = channel.max ?? channel.min;
  for (let j = k; j < last; j += 1) {
    const middle = channel.at?.[j];
    const [a, b] = [channel.min[j] ?? middle, max[j] ?? middle];
    if (a === null || a === undefined) continue;
    low = Math.min(low, a);
    high = Math.max(high, b);
  }
  if (!(low <= high)) return '–';
  const print = (value) => (channel.unit === '°C' ? temperature(value).replace(/\s*°[CF]$/, '') : significant(value, 5));
  return low === high ? print(low) : `${print(low)} to ${print(high)}`;
}

function groupTable(view, group) {
  const [from, to] = view.window();
  const x = view.data.along === 'charge' ? group.ah : group.t;
  const first = x.findIndex((value) => value >= from);
  let end = x.length;
  while (end > 0 && x[end - 1] > to) end -= 1;
  if (first < 0 || end <= first) return emptyState('No reading lies in view.');
  const stride = Math.max(1, Math.ceil((end - first) / most));
  const channels = Object.entries(group.channels);
  const rows = [];
  for (let k = first; k < end; k += stride) {
    const last = Math.min(end, k + stride);
    const place = view.data.along === 'charge' ? fixed(group.ah[k], 3, 'Ah') : view.data.along === 'order' ? String(group.t[k]) : clockTime(group.t[k]);
    rows.push([place, ...channels.map(([name, channel]) => cell(channel, name, k, last))]);
  }
  const head = view.data.along === 'charge' ? 'From' : view.data.along === 'order' ? 'Reading' : 'From';
  return table(view.data.readings && stride === 1 ? 'The readings in view' : 'In view: least to most of each part', [head, ...channels.map(([name, channel]) => `>${names[name]}, ${unitOf(channel)}`)], rows);
}

export const numbersInView = (view) => view.data.groups.map((group) => groupTable(view, group));

function streamTable(stream) {
  return [table(`${stream.name}: as it came, every digit`, ['>Number', '>Seconds', ...stream.columns.map((column) => `>${column.name}${column.unit ? `, ${column.unit}` : ''}`)],
    stream.rows.map((row, k) => [String(stream.first + k), ...row])), stream.more ? h('p', { class: 'soft' }, 'More follow: go closer to see them.') : null];
}

export function rawReadings(run, from, to, signal) {
  const place = h('div', {}, 'Reading…');
  openDialog('Readings as they came', place).classList.add('wide');
  const stretch = [from !== null ? `from=${from}` : '', to !== null ? `to=${to}` : ''].filter(Boolean).join('&');
  show(place, async () => {
    const { streams, lines } = await get(`/api/runs/${run}/readings?most=200${stretch ? `&${stretch}` : ''}`, signal);
    if (lines.length > 0) return h('ol', { class: 'typed' }, lines.map(([, text]) => h('li', {}, text)));
    return streams.length > 0 ? streams.map(streamTable) : emptyState('This run holds no readings.');
  });
}

// What stands at one place of the charts, in words.
export function wordsAt(view, x) {
  const words = [];
  for (const group of view.data.groups) {
    const places = view.data.along === 'charge' ? group.ah : group.t;
    let k = places.findIndex((value) => value >= x);
    if (k < 0) k = places.length - 1;
    if (k > 0 && x - places[k - 1] < places[k] - x) k -= 1;
    if (k < 0) continue;
    if (words.length === 0) words.push(view.data.along === 'order' ? `reading ${group.t[k]}` : `${clockTime(group.t[k])}${group.ah ? `, ${fixed(group.ah[k], 3, 'Ah')}` : ''}`);
    for (const [name, channel] of Object.entries(group.channels)) {
      const value = cell(channel, name, k, k + 1);
      if (value !== '–') words.push(`${value} ${unitOf(channel)}`);
    }
  }
  return words.join(' · ');
}

// The instants of the charts, in order, for a cursor that steps along them.
export const placesOf = (view) => {
  const group = view.data?.groups[0];
  return group === undefined ? [] : view.data.along === 'charge' ? group.ah : group.t;
};
