// One rig as it was read: instruments, channels with their accuracy in words, what holds for the whole of it.
import { h } from '../../core/dom.js';
import { faultBox, table } from '../../core/parts.js';

const readBy = (instrument) => [instrument.driver, instrument.address].filter(Boolean).join(', ');
const every = (instrument) => (instrument.period_s > 0 ? `every ${instrument.period_s} s` : 'when it speaks');

const instruments = (rig) => (rig.instruments.length === 0
  ? h('p', { class: 'soft' }, 'It names no instrument that could be asked: readings come from a log, or are typed.')
  : table('Instruments', ['Instrument', 'Reached by', 'Heard', 'Delivers'], rig.instruments.map((one) => [one.name, readBy(one), every(one),
    one.channels.map((channel) => `${channel.name} from ${channel.source}${channel.kept_only ? ' (kept only)' : ''}`).join('; ') || 'nothing'])));

const accuracy = (channel) => (channel.stated ? channel.accuracy
  : [channel.accuracy, ' ', h('em', { class: 'soft' }, 'not stated: a wide default')]);

const channels = (rig) => table('How far each channel may be off', ['Channel', 'Accuracy', 'That is'],
  rig.channels.map((channel) => [channel.name, accuracy(channel), channel.means]), { class: 'rig-channels' });

export function showRig(paper) {
  if (paper.fault) return faultBox({ message: paper.fault.what, ...paper.fault });
  const { rig } = paper;
  return [
    paper.invented ? h('p', { class: 'invented' }, rig.rehearsal_rate ? 'Invented: the bench of a rehearsal' : 'Invented') : null,
    rig.title !== paper.name ? h('p', {}, rig.title) : null,
    instruments(rig), channels(rig),
    h('dl', { class: 'rig-whole' }, rig.whole.map((one) => h('div', {}, h('dt', {}, one.name), h('dd', {}, one.words))))];
}
