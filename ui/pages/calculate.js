// Calculators: wire, thermistor, cell code, case size. Each change is asked of the server, which computes and says at which
// field it could not; what is asked stands in the address.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator } from '../core/head.js';
import { caution, faultBox } from '../core/parts.js';
import { note } from '../core/route.js';
import { calculateForm, said } from './calculate/fields.js';
import { forms } from './calculate/forms.js';
import { readPicture } from './calculate/read_picture.js';

const wait = 150; // ms after the last key

const blank = (row) => row.every((cell) => cell.trim() === '');

// One table, so that its columns stand in line; an empty row begins a new part of it.
function table(title, rows) {
  const groups = [[]];
  for (const row of rows) blank(row) ? groups.push([]) : groups.at(-1).push(row);
  return h('table', { class: 'answer', 'aria-label': title }, groups.filter((group) => group.length > 0).map((group) => h('tbody', {},
    group.map(([first, ...others]) => h('tr', {}, h('th', { scope: 'row' }, first), others.map((cell) => h('td', {}, cell)))))));
}

const listed = (heading, sentences) => [h('h3', {}, heading), h('ul', { class: 'grounds' }, sentences.map((words) => h('li', {}, words)))];

function showAnswer(place, title, answer) {
  const whole = answer.faults.filter((one) => one.field === '');
  if (answer.result === null)
    fill(place, h('p', { class: 'soft' }, whole.length > 0 ? said(whole[0]) : 'No result until every field can be read.'));
  else
    fill(place, table(title, answer.rows), listed('Taken for granted', answer.result.assumed));
}

function showGrounds(place, { sources, method }) {
  fill(place, listed('Where it is from', sources), h('p', { class: 'soft' }, 'In full: ', h('code', {}, method), '.'));
}

const others = (name) => h('nav', { class: 'sample-places', 'aria-label': 'Calculators' }, h('ul', {}, Object.entries(forms).map(([word, { title }]) =>
  h('li', {}, h('a', { href: `/calculate/${word}`, 'aria-current': word === name ? 'page' : null }, title)))));

export async function page({ main, query, signal, title }) {
  const operator = await isOperator();
  const name = location.pathname.split('/')[2];
  const form = forms[name];
  const places = { caution: h('div', {}), answer: h('div', { role: 'status' }), grounds: h('div', {}) };
  let timer = 0, asking = new AbortController();
  async function ask() {
    clearTimeout(timer);
    asking.abort();
    asking = new AbortController();
    const words = new URLSearchParams(asked.filled());
    note(words.size > 0 ? `/calculate/${name}?${words}` : `/calculate/${name}`);
    try {
      const answer = await get(`/api/calculate/${name}?${words}`, asking.signal);
      asked.showFaults(answer.faults);
      showAnswer(places.answer, form.title, answer);
      if (!places.grounds.hasChildNodes()) showGrounds(places.grounds, answer);
      if (answer.caution && !places.caution.hasChildNodes()) fill(places.caution, caution(answer.caution));
    } catch (fault) {
      if (fault.name !== 'AbortError') fill(places.answer, faultBox(fault));
    }
  }
  const changed = () => { clearTimeout(timer); timer = setTimeout(ask, wait); };
  const beside = (spec, control) => (spec.picture && operator ? readPicture(control, ask) : null);
  const asked = calculateForm(form, query, { changed, submitted: ask, beside });
  signal.addEventListener('abort', () => { clearTimeout(timer); asking.abort(); });
  title(form.title);
  fill(main, h('h1', {}, form.title), others(name), h('p', {}, form.about), places.caution,
    h('div', { class: 'calculate' }, asked.element, h('section', {}, h('h2', {}, 'Result'), places.answer, places.grounds)));
  await ask();
}
