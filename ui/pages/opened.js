// The opened sample: what to look at next, what was seen item by item, and what each comes to.
import { get, post, remove } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator, samplePlaces } from '../core/head.js';
import { listen } from '../core/live.js';
import { button, emptyState, faultBox, field, openDialog } from '../core/parts.js';
import { done, say } from '../core/undo.js';
import { itemForm, putItem, sectionOf } from './opened/form.js';
import { itemView } from './opened/item.js';
import { pictureTools } from './opened/pictures.js';

const capital = (words) => words[0].toUpperCase() + words.slice(1);
const counted = (n, what) => `${n} ${what}${n === 1 ? '' : 's'}`;
const titleOf = (item) => [item.kind, item.name].filter(Boolean).join(' ');

function cautionsView(list, begun) {
  return h('details', { class: 'fault', open: !begun }, h('summary', {}, h('strong', {}, 'Before a hand goes in')),
    h('ul', {}, list.map((words) => h('li', {}, words))));
}

// The least that anything in the path of the current allows.
function weakest(opened) {
  const item = opened.items.find((one) => one.slug === opened.weakest);
  if (!item || opened.weakest_a === null) return null;
  return h('p', { class: 'summary' }, `Of what lies in the path of the current, the ${titleOf(item)} allows least: ${Number(opened.weakest_a.toPrecision(3))} A.`);
}

function batchWords(batch) {
  if (batch.whole_codes < 2) return null;
  const one = batch.makers === 1 && batch.specifications === 1 && batch.chemistries === 1;
  return h('p', {}, `${batch.whole_codes} codes read: ${one ? 'one maker, one specification, one chemistry' : 'not all of one maker, specification and chemistry'}; made within ${batch.days_apart} ${batch.days_apart === 1 ? 'day' : 'days'}${batch.repeated > 0 ? '; a code stands twice, which no two cells have' : ''}.`);
}

export async function page({ main, number, signal, title }) {
  const places = { top: h('div', {}), next: h('section', {}), items: h('section', {}) };
  const operator = await isOperator();
  let editing = false;
  let data = null;
  let pictures = [];
  let drawn = '';
  fill(main, places.top, places.next, places.items);

  async function read() {
    const [answer, sample] = await Promise.all([get(`/api/samples/${number}/opened`, signal), get(`/api/samples/${number}`, signal)]);
    data = answer;
    pictures = sample.pictures;
    if (JSON.stringify([data, pictures]) !== drawn) draw(); // news of what this page did itself leave the focus where it is
  }

  function ended(answer) {
    editing = false;
    if (answer) data = answer;
    draw();
  }

  // `item` null: a new one of that kind; `key`: the field that is asked for.
  function edit(place, { kind, item = null, name = '', key = '' }) {
    editing = true;
    const keys = data.kinds.find((one) => one.kind === kind).keys;
    const form = itemForm({ sample: number, kind, keys, item, name, ended });
    fill(place, form.element);
    form.focus(key);
    place.scrollIntoView({ block: 'nearest' });
  }

  async function takeOut(item) {
    const section = sectionOf(item);
    const answer = await remove(`/api/samples/${number}/opened/${item.slug}`);
    ended(answer);
    done(`${capital(titleOf(item))} is taken out.`, async () => ended(await putItem(number, null, section)));
  }

  function add() {
    const kinds = h('select', {}, data.kinds.map(({ kind }) => h('option', { value: kind }, kind)));
    const dialog = openDialog('What was found', field('Kind', kinds), h('p', { class: 'actions' }, button('Describe it', () => {
      dialog.close();
      edit(places.fresh, { kind: kinds.value });
    }, { class: 'main' })));
  }

  function stepView(step) {
    const item = data.opened.items.find((one) => one.kind === step.kind && one.name === step.name);
    const place = h('div', {});
    return h('li', {}, h('p', {}, h('strong', {}, step.name ? `${step.kind} ${step.name}: ` : ''), step.ask, ' ', h('span', { class: 'soft' }, step.why)),
      operator ? h('p', { class: 'actions' }, button('Write it down', () => edit(place, { kind: step.kind, item: item ?? null, name: step.name, key: step.key }), { class: 'quiet', 'aria-label': `Write down: ${step.ask}` })) : null, place);
  }

  function drawItems() {
    const { items, batch } = data.opened;
    places.fresh = h('div', {});
    const views = items.map((item) => {
      const place = h('div', {});
      const tools = operator ? h('p', { class: 'actions no-print' },
        button('Change', () => edit(place, { kind: item.kind, item }), { class: 'quiet', 'aria-label': `Change ${titleOf(item)}` }),
        button('Take out', () => takeOut(item).catch((fault) => fill(place, faultBox(fault))), { class: 'quiet', 'aria-label': `Take out ${titleOf(item)}` })) : null;
      return itemView(item, pictureTools({ sample: number, item: item.slug, name: titleOf(item), list: pictures.filter((one) => one.item === item.slug), operator, again: read }), tools, place);
    });
    const takeCodes = async () => {
      try {
        const taken = await post(`/api/samples/${number}/codes`);
        say(taken.pictures === 0 ? 'There are no pictures yet.' : `${counted(taken.read, 'code')} read off ${counted(taken.pictures, 'picture')}; ${taken.added} ${taken.added === 1 ? 'is' : 'are'} new.`);
        await read();
      } catch (fault) {
        fill(places.fresh, faultBox(fault));
      }
    };
    fill(places.items, h('h2', {}, 'What was seen'),
      views.length === 0 ? emptyState('Nothing yet. Begin with the outside: size, mass, how it is closed.') : null,
      batchWords(batch), views, places.fresh,
      operator ? h('p', { class: 'actions no-print' }, button('Add what was found', add, { class: views.length === 0 ? 'main' : null }),
        button('Read the codes off all pictures', takeCodes)) : null,
      h('h3', {}, 'Pictures of the sample as a whole'),
      pictureTools({ sample: number, item: '', name: 'the sample', list: pictures.filter((one) => !data.opened.items.some((item) => item.slug === one.item)), operator, again: read }));
  }

  function draw() {
    if (editing) return;
    drawn = JSON.stringify([data, pictures]);
    title(`Opened: ${data.sample}`);
    fill(places.top, h('h1', {}, `${data.sample}, opened`), samplePlaces(number, 'opened'),
      data.opened?.invented ? h('p', { class: 'invented' }, 'Invented data, for practice') : null,
      data.opened ? weakest(data.opened) : faultBox(new Error(`The paper cannot be read: ${data.fault} (line ${data.line})`)),
      data.opened?.date ? h('p', { class: 'soft' }, `Opened ${data.opened.date}`) : null,
      cautionsView(data.cautions, data.begun));
    if (!data.opened) return;
    const { steps } = data.opened;
    fill(places.next, steps.length > 0 ? [h('h2', {}, 'To look at next'), h('ol', { class: 'steps' }, steps.slice(0, 6).map(stepView)),
      steps.length > 6 ? h('p', { class: 'soft' }, `and ${steps.length - 6} more after these`) : null] : null);
    drawItems();
  }

  await read();
  listen('book', (news) => { if (!editing && (news.sample === number || news.sample === 0)) read(); }, signal);
  listen('reload', () => { if (!editing) read(); }, signal);
}
