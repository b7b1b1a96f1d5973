// A refusal as a question: what is not clear, and the ways to settle it.
import { freshId, h } from '../../core/dom.js';
import { sentence } from '../../core/paper_editor.js';
import { button } from '../../core/parts.js';

function periodForm(wish) {
  const input = h('input', { id: freshId('period'), size: 6, placeholder: '1s', autocomplete: 'off' });
  return h('form', { class: 'period', onsubmit: (event) => { event.preventDefault(); wish(() => ({ period: input.value.trim() || null })); } },
    h('label', { for: input.id }, 'The log has no times: one row every'), ' ', input, ' ', h('button', {}, 'Read it so'));
}

export function question(drop, wish) {
  const take = (choice) => wish((wishes) => ({
    columns: [...wishes.columns.filter((one) => !choice.columns.some((other) => other.split('=')[0] === one.split('=')[0])), ...choice.columns],
    period: choice.period ?? wishes.period, sign: choice.sign ?? wishes.sign,
  }));
  const wantsTime = /--period/.test(drop.fault.remedy);
  // The remedy names options of the command line; here it is the buttons, or the table below, that settle it.
  const remedy = /--\w/.test(drop.fault.remedy) ? 'Say below what the columns are.' : drop.fault.remedy;
  return h('div', { class: 'question', role: 'alert' },
    h('p', {}, h('strong', {}, sentence(drop.fault.what)), drop.fault.line ? ` (line ${drop.fault.line})` : '', '.'),
    drop.choices.length > 0 ? h('p', { class: 'actions' }, drop.choices.map((choice) => button(sentence(choice.words), () => take(choice)))) : h('p', {}, sentence(remedy)),
    wantsTime ? periodForm(wish) : null);
}

// Rows that are counted instead of timed, as was said before.
export const periodLine = (wishes, wish) => h('p', {}, `Rows are counted, one every ${wishes.period}. `,
  button('Undo', () => wish(() => ({ period: null })), { class: 'quiet' }));

const signs = { 'discharge-positive': 'Discharge is positive', 'charge-positive': 'Charge is positive' };

export function signQuestion(drop, wishes, wish) {
  return h('div', { class: 'question', role: 'alert' },
    h('p', {}, h('strong', {}, drop.sign.known ? 'Which way the current counts, as you say' : 'Which way does the current count?'), ' ', drop.sign.known ? '' : `It cannot be told: ${drop.sign.why}.`),
    h('p', { class: 'actions' }, Object.entries(signs).map(([sign, words]) =>
      button(words, () => wish(() => ({ sign: wishes.sign === sign ? null : sign })), { 'aria-pressed': wishes.sign === sign ? 'true' : 'false', dataset: { hold: sign } }))));
}
