// The cautions that matter now, and no others. What they say is common practice; local codes and licensed people come
// first.
import { h } from '../../core/dom.js';
import { caution } from '../../core/parts.js';

const power = 'Behind an inverter is mains voltage: wiring there is for licensed people under the local code. This computer must not run from the inverter under test.';
const fuse = 'A fuse belongs at the source. Do not leave the test alone, and know how you will cut it off.';
const grounds = 'Grounds shared by a supply, an instrument and a computer can short a shunt, or bypass a BMS that switches the negative side: isolated interfaces, or a computer on its own battery.';
const cold = 'Below 0 °C a charge harms the cells: measure their temperature first, and never go on beyond the protection’s own trip.';

export function cautionsFor(kind, source) {
  if (source === 'rehearsal') return [];
  const list = [];
  if (kind === 'charge') list.push(cold);
  if (kind === 'discharge' || kind === 'protection') list.push(power);
  if (kind !== 'rest') list.push(fuse);
  if (source === 'rig') list.push(grounds);
  return list.length === 0 ? [] : [caution(list.map((words) => h('span', { class: 'caution-line' }, words)))];
}

export const beforeBurst = () => caution('Cables and terminals heat in a burst: hands off them, somebody at the switch. Stop at smoke, smell, hiss or swelling.');
