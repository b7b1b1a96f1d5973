// The columns of a log: what each was taken for, and why; another choice is tried at once.
import { fill, h } from '../../core/dom.js';

const titles = {
  unused: 'not used', time: 'time', date: 'date beside a time of day', voltage: 'voltage', current: 'current', power: 'power',
  temperature: 'temperature of the sample', ambient: 'temperature of the room', charge: 'running total of Ah', energy: 'running total of Wh',
  mode: 'charge or discharge, in words', mark: 'marks', step: 'number of the step', steptime: 'time within the step',
};
const forms = { time: ['s', 'ms', 'min', 'h', 'hh:mm', 'mm:ss', 'dmy', 'mdy'], date: ['dmy', 'mdy'], voltage: ['V', 'mV'],
  current: ['A', 'mA'], power: ['W', 'kW'], temperature: ['°C', '°F', 'K'], ambient: ['°C', '°F', 'K'], charge: ['Ah', 'mAh', 'As'], energy: ['Wh', 'kWh', 'J'] };
const formTitles = { 'hh:mm': 'hours:minutes', 'mm:ss': 'minutes:seconds', dmy: 'day before month', mdy: 'month before day' };

// Wishes are those of the command line: `current=2:mA`. Those for a column, and those for a role that only one may have.
const numberOf = (wish) => Number(/=(\d+)/.exec(wish)?.[1] ?? 0);
const wordOf = (wish) => wish.split('=')[0];
function withWish(columns, number, word, detail) {
  const rest = columns.filter((one) => numberOf(one) !== number && (word === 'unused' || wordOf(one) !== word));
  return [...rest, `${word}=${number}${detail ? `:${detail}` : ''}`];
}
export const asked = (wishes, number) => wishes.columns.find((one) => numberOf(one) === number) ?? null;

// While the log is refused nothing is taken for anything, but what was said stands.
const settled = (column, drop, wishes) => {
  const said = asked(wishes, column.number);
  return said ? wordOf(said) : drop.fault ? '' : column.word;
};

// A choice made letter by letter or with the arrows is tried once it stands.
const pause = 350; // ms
let timer = 0;
function later(does) {
  clearTimeout(timer);
  timer = setTimeout(does, pause);
}

function roleSelect(column, word, drop, wish) {
  return h('select', {
    'aria-label': `Column ${column.number}, ${column.header || 'no header'}, is`, dataset: { hold: `role-${column.number}` },
    onchange: ({ target }) => later(() => wish((wishes) => ({ columns: withWish(wishes.columns, column.number, target.value, '') }))),
  }, word === '' ? h('option', { value: '', selected: true, disabled: true }, 'not settled') : null,
  drop.roles.map((role) => h('option', { value: role.word, selected: role.word === word }, titles[role.word] ?? role.name)));
}

function formSelect(column, word, wishes, wish) {
  const list = forms[word];
  if (!list) return '';
  const detail = asked(wishes, column.number)?.split(':').slice(1).join(':') ?? '';
  const now = detail || column.unit;
  const shown = list.includes(now) || now === '' ? list : [now, ...list];
  return h('select', {
    'aria-label': `Unit or form of column ${column.number}`, dataset: { hold: `form-${column.number}` },
    onchange: ({ target }) => later(() => wish((said) => ({ columns: withWish(said.columns, column.number, word, target.value) }))),
  }, h('option', { value: '', selected: now === '' }, 'as found'), shown.map((one) => h('option', { value: one, selected: one === now }, formTitles[one] ?? one)));
}

const examples = (drop, number) => drop.first.slice(0, 3).map((row) => row.cells[number - 1]).filter((cell) => cell !== '').join('   ');

export function columnTable(drop, wishes, wish) {
  const row = (column, word) => h('tr', { class: word === 'unused' ? 'unused' : null },
    h('th', { scope: 'row', class: 'n' }, column.number),
    h('td', {}, column.header || h('span', { class: 'soft' }, 'no header')),
    h('td', {}, roleSelect(column, word, drop, wish)),
    h('td', {}, formSelect(column, word, wishes, wish)),
    h('td', { class: 'cells' }, examples(drop, column.number)),
    h('td', { class: 'soft why' }, column.why,
      asked(wishes, column.number) ? [' ', h('button', { type: 'button', class: 'quiet', onclick: () => wish((said) => ({ columns: said.columns.filter((one) => numberOf(one) !== column.number) })) }, 'Undo')] : null));
  const rows = drop.columns.map((column) => row(column, settled(column, drop, wishes)));
  return h('div', { class: 'scroll', tabindex: '0', role: 'region', 'aria-label': 'Columns' },
    h('table', { class: 'columns' }, h('caption', {}, 'What each column was taken for'),
      h('thead', {}, h('tr', {}, ['', 'Header', 'Taken for', 'Unit or form', 'First cells', 'Why'].map((head) => h('th', { scope: 'col' }, head)))),
      fill(h('tbody', {}), rows)));
}
