// A chosen stretch: its Ah, Wh and means, each with its interval and budget, as the server finds them.
import { get } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { clockTime, signed } from '../../core/numbers.js';
import { button, faultBox, field, measureText, table } from '../../core/parts.js';

const rows = [['charge_ah', 'Charge'], ['energy_wh', 'Energy'], ['mean_v', 'Mean volts, energy over charge'], ['mean_a', 'Mean amps'],
  ['mean_w', 'Mean watts'], ['duration_s', 'Duration']];

const share = (part, all) => `${((part / all) * 100).toFixed(1)} %`;

function budgetTable(measure) {
  const parts = [...(measure.budget ?? [])].sort((a, b) => b.standard_uncertainty - a.standard_uncertainty);
  const all = parts.reduce((sum, part) => sum + part.standard_uncertainty ** 2, 0);
  return table('What the interval is made of', ['>Share', 'Cause', 'What would shrink it'], parts.slice(0, 6).map((part) =>
    [all > 0 ? signed(share(part.standard_uncertainty ** 2, all)) : '–', part.what ?? part.cause, part.remedy ?? '']));
}

function found(stretch, readings) {
  const [words, sense] = stretch.direction === 'charge' ? ['charge', 'went into the sample'] : ['discharge', 'left the sample'];
  return h('div', {},
    h('p', {}, `From ${clockTime(stretch.from_s)} to ${clockTime(stretch.to_s)}, readings ${stretch.first} to ${stretch.last}: ${words}, counted positive as it ${sense}. `,
      button('Show these readings', () => readings(stretch.from_s, stretch.to_s), { class: 'quiet' })),
    h('dl', { class: 'amounts' }, rows.map(([key, name]) => h('div', {}, h('dt', {}, name),
      h('dd', {}, measureText(stretch[key]),
        stretch[key].value === null ? h('small', {}, ` ${stretch[key].cannot_tell}`) : null,
        stretch[key].budget?.length > 0 ? h('details', {}, h('summary', {}, 'what its interval is made of'), budgetTable(stretch[key])) : null)))));
}

// Seconds typed as h:mm:ss, mm:ss is not taken: minutes and seconds alone would be read as hours.
function secondsOf(text) {
  const parts = /^\s*(\d+):([0-5]?\d):([0-5]?\d(?:[.,]\d+)?)\s*$/.exec(text) ?? /^\s*(\d+):([0-5]?\d)\s*$/.exec(text);
  if (parts !== null) return Number(parts[1]) * 3600 + Number(parts[2]) * 60 + Number((parts[3] ?? '0').replace(',', '.'));
  const plain = Number(text.replace(',', '.'));
  return text.trim() !== '' && Number.isFinite(plain) ? plain : null;
}

// `choose(from_s, to_s)` puts the stretch on the charts.
export function stretchPanel({ run, choose, clear, zoom, readings }, signal) {
  const from = h('input', { inputmode: 'text', autocomplete: 'off', size: 10 });
  const to = h('input', { inputmode: 'text', autocomplete: 'off', size: 10 });
  const result = h('div', { 'aria-live': 'polite' });
  const zoomButton = button('Closer', zoom, { disabled: true });
  const clearButton = button('None', clear, { disabled: true });
  let asked = 0;

  const form = h('form', { class: 'fields', onsubmit: (event) => {
    event.preventDefault();
    const [a, b] = [secondsOf(from.value), secondsOf(to.value)];
    if (a === null || b === null) return fill(result, faultBox({ message: 'A time is written 1:02:03, or in seconds' }));
    choose(Math.min(a, b), Math.max(a, b));
  } }, field('From', from), field('To', to), h('button', { type: 'submit' }, 'Choose'), zoomButton, clearButton);

  const empty = () => fill(result, h('p', { class: 'soft' }, 'Drag over the charts, press a phase, or type two times: this is what lies between.'));
  empty();

  async function show(a, b) {
    const mine = ++asked;
    from.value = clockTime(a);
    to.value = clockTime(b);
    zoomButton.disabled = clearButton.disabled = false;
    const waits = setTimeout(() => { if (mine === asked) fill(result, h('p', { class: 'soft' }, 'Counting; the first time it waits for the findings.')); }, 250);
    try {
      const stretch = await get(`/api/runs/${run}/stretch?from=${a}&to=${b}`, signal);
      if (mine === asked) fill(result, found(stretch, readings));
    } catch (fault) {
      if (fault.name !== 'AbortError' && mine === asked) fill(result, faultBox(fault));
    }
    clearTimeout(waits);
  }

  return {
    element: h('section', { class: 'stretch', 'aria-labelledby': 'stretch-head' }, h('h2', { id: 'stretch-head' }, 'A stretch'), form, result),
    show,
    none: () => { asked += 1; from.value = to.value = ''; zoomButton.disabled = clearButton.disabled = true; empty(); },
  };
}
