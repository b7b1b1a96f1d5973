// Instruments tried for a moment: who they are, what they say, how it trembles; where one fails, why and what to do.
import { get, post, remove } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { listen } from '../../core/live.js';
import { significant, signed } from '../../core/numbers.js';
import { button, caution, faultBox, field, progressLine, table } from '../../core/parts.js';

const ended = (task) => task.state !== 'running';

function channelRow(channel) {
  if (channel.readings === 0)
    return [channel.name, channel.overloads > 0 ? 'beyond its range in every reading' : `no value came from ${channel.source}`, '', '', ''];
  const trembles = channel.noise === null ? 'not known' : channel.noise === 0 ? 'none seen' : significant(channel.noise, 2, channel.unit);
  return [channel.name, signed(channel.words), significant(channel.digit, 1, channel.unit), trembles,
    `${channel.readings}${channel.overloads > 0 ? `, ${channel.overloads} beyond its range` : ''}`];
}

function found(instrument) {
  return h('section', { class: 'probed' },
    h('h3', {}, instrument.name, ' ', h('span', { class: 'soft' }, [instrument.driver, instrument.address].filter(Boolean).join(', '))),
    instrument.identity === '' ? null : h('p', { class: 'soft' }, `Calls itself ${instrument.identity}`),
    instrument.fault === null ? null : faultBox({ message: instrument.fault, remedy: instrument.remedy ?? '' }),
    instrument.garbage > 0 ? h('p', {}, `${instrument.garbage} time${instrument.garbage > 1 ? 's' : ''} something came that is no reading.`) : null,
    instrument.readings > 0 ? table(`${instrument.name}: what it says`, ['Channel', '>Last reading', '>Last digit', '>Noise', '>Readings'],
      instrument.channels.map(channelRow)) : null);
}

const result = (probed) => [probed.instruments.map(found),
  probed.instruments.every((one) => one.readings === 0) ? null : h('p', { class: 'soft' }, 'Compare with the displays. A sign that is wrong wants “reversed”, a decimal point that is wrong wants “times”.')];

// Follows the task until it is over; asks too, since the stream may have stood still.
function follow(id, line, signal) {
  return new Promise((resolve) => {
    const stop = new AbortController();
    signal.addEventListener('abort', () => stop.abort());
    const hear = (task) => {
      if (task === null || task.task !== id || stop.signal.aborted) return;
      line.show(task.share);
      if (!ended(task)) return;
      clearInterval(timer);
      stop.abort();
      resolve(task);
    };
    const timer = setInterval(() => get(`/api/tasks/${id}`).then(hear).catch(() => {}), 2000);
    signal.addEventListener('abort', () => clearInterval(timer));
    listen('task', hear, stop.signal);
  });
}

export function probePanel(paper, signal) {
  const seconds = h('select', {}, [3, 10, 60].map((value) => h('option', { value, selected: value === 10 }, `${value} s`)));
  const place = h('div', { 'aria-live': 'polite' });
  const start = button('Try the instruments', async () => {
    start.disabled = true;
    try {
      const { task: id } = await post(`/api/rigs/${paper.document}/probe`, { seconds: Number(seconds.value) });
      const line = progressLine('Listening', () => remove(`/api/tasks/${id}`));
      fill(place, line);
      const task = await follow(id, line, signal);
      fill(place, task.result ? result(task.result) : task.fault ? faultBox({ message: task.fault.what, ...task.fault }) : 'Stopped.');
    } catch (fault) {
      fill(place, faultBox(fault));
    }
    start.disabled = false;
  });
  return h('section', {}, h('h2', {}, 'Do they answer?'),
    caution('Before a pack is connected: the meter’s range fits, leads are fused at the source, nothing bridges the terminals.'),
    h('div', { class: 'fields' }, field('Listen for', seconds), h('p', { class: 'actions' }, start)), place);
}

export function pluggedIn() {
  const place = h('div', { 'aria-live': 'polite' });
  const show = async () => {
    try {
      const { devices, drivers } = await get('/api/instruments');
      fill(place,
        devices.length === 0 ? h('p', {}, 'No serial line and no USBTMC device is plugged into the computer that runs Rundown.')
          : table('Plugged in', ['Address', 'Calls itself', ''], devices.map((one) => [one.address, one.about, one.usable ? '' : 'not ours to open: join the group that owns it'])),
        table('Ways to reach an instrument', ['driver =', ''], drivers.map((one) => [one.name, one.about])));
    } catch (fault) {
      fill(place, faultBox(fault));
    }
  };
  return h('section', {}, h('h2', {}, 'What is plugged in?'), h('p', { class: 'actions' }, button('Look', show)), place);
}
