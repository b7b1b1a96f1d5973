// Calls, lines and marks as they were said: the newest call large and spoken, the rest as a list in which what was
// typed can be taken back.
import { post } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { clockTime } from '../../core/numbers.js';
import { button, faultWords } from '../../core/parts.js';
import { done, say } from '../../core/undo.js';
import { beforeBurst } from './cautions.js';
import { sound } from './sound.js';

const shown = 60;
const freshFor_ms = 90000;

export function saidList(run, operator) {
  const polite = h('div', { class: 'call-now', 'aria-live': 'polite' });
  const urgent = h('div', { class: 'call-now urgent', 'aria-live': 'assertive' });
  const list = h('ol', { class: 'said', reversed: true });
  let all = [];
  let timer = 0;
  let running = true;

  const takeBack = async (one) => {
    try {
      await post(`/api/recordings/${run}/take-back`, { number: one.number });
    } catch (fault) {
      say(faultWords(fault));
    }
  };
  const item = (one) => h('li', { class: `${one.said}${one.urgent ? ' urgent' : ''}${one.taken_back ? ' taken-back' : ''}` },
    h('span', { class: 'at' }, clockTime(one.t_s)), ' ', h('span', { class: 'what' }, one.text),
    one.taken_back ? ' (taken back)' : '',
    operator && running && one.can_be_taken_back ? button('Take back', () => takeBack(one), { class: 'quiet', 'aria-label': `Take back: ${one.text}` }) : null);
  const draw = () => fill(list, all.slice(-shown).reverse().map(item));
  const announce = (call) => {
    const place = call.urgent ? urgent : polite;
    fill(call.urgent ? polite : urgent);
    fill(place, h('p', {}, call.text), call.call === 'cue' && /burst/.test(call.text) ? beforeBurst() : null);
    clearTimeout(timer);
    timer = setTimeout(() => fill(place), freshFor_ms);
    sound(call.urgent);
  };

  const take = (one, aloud) => {
    const at = all.findIndex((other) => other.number === one.number);
    if (at >= 0) all[at] = one;
    else all.push(one);
    if (at < 0 && aloud && one.said === 'call') announce(one);
    draw();
  };
  const fresh = (state) => { all = state.said.slice(); running = state.state === 'recording'; draw(); };
  const over = () => { running = false; draw(); };
  const stored = (one) => {
    take(one, false);
    done(`${clockTime(one.t_s)}  ${one.text}`, () => post(`/api/recordings/${run}/take-back`, { number: one.number }));
  };
  const takeBackLast = () => {
    const last = all.findLast((one) => one.can_be_taken_back);
    if (last && running) takeBack(last);
  };
  return { calls: [urgent, polite], list, all: () => all, take, fresh, over, stored, takeBackLast };
}
