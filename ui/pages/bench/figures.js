// The large figures: of one width each, whatever they show.
import { h } from '../../core/dom.js';
import { clockTime, fixed } from '../../core/numbers.js';
import { elapsedNow } from './follow.js';

// Six digits and signs at most, so that no figure outgrows its place: what is large shows fewer behind the sign.
function six(value, digits) {
  let words = fixed(value, digits);
  while (words.length > 6 && digits > 0) words = fixed(value, --digits);
  return words;
}

export const figureList = {
  v: { name: 'volts', unit: 'V', of: (state) => six(state.voltage_v, 3) },
  a: { name: 'amps', unit: 'A', of: (state) => six(state.current_a, 2) },
  w: { name: 'watts', unit: 'W', of: (state) => six(state.power_w, 1) },
  ah: { name: 'ampere-hours', unit: 'Ah', of: (state) => six(state.passed_ah, 2) },
  wh: { name: 'watt-hours', unit: 'Wh', of: (state) => six(state.passed_wh, 1) },
  t: { name: 'elapsed', unit: '', of: (state) => clockTime(elapsedNow(state)) },
};

// Elements for the words ('v', 'ah', …), and a function that shows a state.
export function figures(words) {
  const shown = words.map((word) => {
    const value = h('span', { class: 'value' }, '–');
    const { name, unit } = figureList[word];
    return { word, value, element: h('div', { class: `figure figure-${word}`, role: 'group', 'aria-label': name }, value, unit ? h('span', { class: 'unit' }, unit) : null) };
  });
  const show = (state) => {
    for (const { word, value } of shown) {
      const text = figureList[word].of(state);
      if (value.textContent !== text) value.textContent = text;
    }
  };
  return { elements: shown.map(({ element }) => element), show };
}
