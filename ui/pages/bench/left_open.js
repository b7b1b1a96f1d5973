// Runs that a crash left open: they can go on, with a gap.
import { post } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { clockTime, instant } from '../../core/numbers.js';
import { button, faultBox } from '../../core/parts.js';

function goOn(run, place, go) {
  return async (event) => {
    event.target.disabled = true;
    try {
      await post('/api/recordings', { resume: run });
      await go(`/bench?run=${run}`);
    } catch (fault) {
      event.target.disabled = false;
      fill(place, faultBox(fault));
    }
  };
}

function line(one, operator, go) {
  const place = h('div');
  const began = one.start_utc_s === null ? '' : `, begun ${instant(one.start_utc_s * 1000)}`;
  return h('li', {},
    h('a', { href: `/run/${one.run}` }, one.sample_name), ` ${one.kind}, run ${one.run}${began}`,
    one.end_s === null ? '' : `, readings up to ${clockTime(one.end_s)}`,
    one.origin === 'rehearsed' ? ' · invented data' : '', ' ',
    operator ? button('Go on with it', goOn(one.run, place, go)) : null, place);
}

export function leftOpen(list, operator, go) {
  if (list.length === 0) return null;
  return h('section', {}, h('h2', {}, 'Left open'),
    h('p', {}, 'Nobody ended these: the recorder stopped, or another program is recording them. Going on keeps what is there and marks the gap; then it can be ended.'),
    h('ul', { class: 'recordings' }, list.map((one) => line(one, operator, go))));
}
