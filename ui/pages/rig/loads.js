// What can be drawn from a sample: the inverter and the loads as a table to edit; the text behind it is docs/loads.md's.
import { fill, h } from '../../core/dom.js';
import { button, faultBox, field, table } from '../../core/parts.js';
import { done } from '../../core/undo.js';
import { history, keepPaper, paperPanel } from './paper_panel.js';

const text = (value, unit) => (value === null || value === undefined ? '' : `${Number(value.toPrecision(9))} ${unit}`);
const drawn = (load) => (load.power_w !== null ? text(load.power_w, 'W') : text(load.current_a, 'A'));

function shown(paper) {
  if (paper.fault) return faultBox({ message: paper.fault.what, ...paper.fault });
  const { loads, inverter } = paper.loads;
  return [
    table(`Loads of ${paper.name}`, ['Load', '>Draws', 'Behind the inverter', '>Full after'],
      loads.map((one) => [one.name, drawn(one), one.behind_inverter ? 'yes' : 'no', one.fills_wh === null ? 'never' : text(one.fills_wh, 'Wh')])),
    inverter === null ? h('p', { class: 'soft' }, 'No inverter.')
      : h('p', {}, `Inverter: ${[text(inverter.power_w, 'W'), inverter.idle_w === null ? '' : `idle ${text(inverter.idle_w, 'W')}`,
        inverter.efficiency === null ? 'efficiency not stated: 90 % is taken' : `efficiency ${text(100 * inverter.efficiency, '%')}`,
        inverter.low_v === null ? '' : `gives up at ${text(inverter.low_v, 'V')}`].filter(Boolean).join(', ')}.`)];
}

const cell = (label, value, size) => h('input', { value, size, 'aria-label': label, autocomplete: 'off', spellcheck: 'false' });

function loadRow(load, rows) {
  const row = {
    name: cell('Name of the load', load?.name ?? '', 14), draws: cell('Draws, in W or A', load ? drawn(load) : '', 8),
    behind: h('input', { type: 'checkbox', checked: load?.behind_inverter ?? false, 'aria-label': 'Behind the inverter' }),
    fills: cell('Full after, in Wh', load ? text(load.fills_wh, 'Wh') : '', 8),
  };
  row.element = h('tr', {}, h('td', {}, row.name), h('td', {}, row.draws), h('td', {}, row.behind), h('td', {}, row.fills),
    h('td', {}, button('Remove', () => { row.element.remove(); rows.delete(row); }, { class: 'quiet' })));
  rows.add(row);
  return row.element;
}

// The remarks at the head of a text: they say what it is, and whether it is invented.
function remarks(words) {
  const lines = words.split('\n');
  const end = lines.findIndex((line) => !/^\s*[#;]/.test(line));
  return lines.slice(0, Math.max(end, 0));
}

// As the form is written: docs/loads.md. The server judges it.
function written(head, inverter, rows) {
  const lines = head.length > 0 ? [...head, ''] : [];
  if (inverter.power.value.trim() !== '')
    lines.push('[inverter]', `power = ${inverter.power.value}`, inverter.idle.value && `idle = ${inverter.idle.value}`,
      inverter.efficiency.value && `efficiency = ${inverter.efficiency.value}`, inverter.low.value && `low-voltage cut-off = ${inverter.low.value}`, '');
  for (const row of rows)
    lines.push(`[${row.name.value.trim()}]`, `${/a\s*$/i.test(row.draws.value) ? 'current' : 'power'} = ${row.draws.value.trim()}`,
      row.behind.checked && 'behind inverter = yes', row.fills.value.trim() && `fills up after = ${row.fills.value.trim()}`, '');
  return lines.filter((line) => line !== undefined && line !== false && line !== null).filter((line, k, all) => line !== '' || all[k - 1] !== '').join('\n');
}

function inverterFields(inverter) {
  const make = (value, unit) => h('input', { value: text(value, unit), size: 8, autocomplete: 'off', spellcheck: 'false' });
  const share = inverter?.efficiency ?? null;
  const fields = { power: make(inverter?.power_w, 'W'), idle: make(inverter?.idle_w, 'W'), efficiency: make(share === null ? null : 100 * share, '%'), low: make(inverter?.low_v, 'V') };
  fields.element = h('div', { class: 'fields' }, field('Inverter carries', fields.power, 'Empty: there is none.'), field('Draws idle', fields.idle),
    field('Efficiency', fields.efficiency), field('Gives up at', fields.low));
  return fields;
}

function editor(paper, saved, close) {
  const rows = new Set();
  const inverter = inverterFields(paper.loads.inverter);
  const body = h('tbody', {}, paper.loads.loads.map((load) => loadRow(load, rows)));
  const answer = h('div', { 'aria-live': 'polite' });
  const keep = async (event) => {
    event.preventDefault();
    try {
      const version = await keepPaper('loads', paper.name, written(remarks(paper.text), inverter, rows));
      done(`${paper.name}: a new version is kept.`, async () => saved(await keepPaper('loads', paper.name, paper.text)));
      saved(version);
    } catch (fault) {
      fill(answer, faultBox(fault));
    }
  };
  return h('form', { class: 'paper-panel', onsubmit: keep }, inverter.element,
    h('div', { class: 'scroll' }, h('table', { class: 'loads-table' }, h('caption', {}, 'Loads: a power such as 250 W, or a current such as 20 A straight at the sample'),
      h('thead', {}, h('tr', {}, ['Load', 'Draws', 'Behind inverter', 'Full after', ''].map((name) => h('th', { scope: 'col' }, name)))), body)),
    answer,
    h('p', { class: 'actions' }, h('button', { class: 'main' }, 'Keep as a new version'),
      button('Another load', () => { body.append(loadRow(null, rows)); body.lastElementChild.querySelector('input').focus(); }),
      button('Close', close, { class: 'quiet' })),
    h('p', { class: 'soft' }, 'Remarks further down in the text are not carried over; they stay in the older version.'));
}

export function loadsPanel(paper, operator, signal, saved) {
  const place = h('div', {});
  const close = () => fill(place);
  const actions = operator ? [
    paper.fault ? null : button('Edit', () => { fill(place, editor(paper, saved, close)); place.querySelector('input').focus(); }),
    button('Edit as text', () => { fill(place, paperPanel({ kind: 'loads', name: paper.name, text: paper.text, signal, saved, close })); place.querySelector('textarea').focus(); }, { class: 'quiet' })] : [];
  return h('section', { class: 'loads' }, h('h2', {}, paper.name), paper.invented ? h('p', { class: 'invented' }, 'Invented') : null, shown(paper),
    h('p', { class: 'actions' }, actions, button('Its versions', () => history(paper, operator, saved), { class: 'quiet' })), place);
}
