// The head and foot of every page: where one is, where one can go, who one is here.
import { get } from './ask.js';
import { devicesDialog, leavePart } from './devices.js';
import { fill, h } from './dom.js';
import { keyList, keys } from './keys.js';
import { connection } from './live.js';
import { button, field, openDialog } from './parts.js';
import { choose, setting, settingChoices } from './settings.js';

const places = [
  { page: 'shelf', href: '/', name: 'Shelf' },
  { page: 'bench', href: '/bench', name: 'Bench' },
  { page: 'add', href: '/add', name: 'Add readings' },
  { page: 'rig', href: '/rig', name: 'Rig' },
];

let book = null; // {name, role, shared, …}: asked once
const bookNow = async () => (book ??= await get('/api/book').catch(() => null));
export const isOperator = async () => (await bookNow())?.role === 'operator';
export const aboutBook = bookNow;

function settingsDialog() {
  openDialog('Settings of this device', ...settingChoices().map(({ name, title, values }) =>
    field(title, h('select', { onchange: (event) => choose(name, event.target.value) },
      values.map((value) => h('option', { value, selected: value === setting(name) }, value))))));
}

async function bookLine(place, devices) {
  const about = await bookNow();
  if (about === null) return;
  if (about.role === 'operator') fill(devices, button('Devices', () => devicesDialog(about), { class: 'quiet' }));
  else fill(devices, button('Leave', () => openDialog('This device', leavePart()), { class: 'quiet' }));
  fill(place, about.name, about.role === 'reader' ? ' · to read only' : '', about.invented ? ' · invented data' : '');
}

export function drawHead(page, signal) {
  const head = document.getElementById('head');
  if (page === 'film') {
    fill(head);
    fill(document.getElementById('foot'));
    return;
  }
  const away = h('p', { class: 'away', role: 'alert', hidden: true }, 'Rundown does not answer; this page tries again by itself.');
  const name = h('span', { class: 'book-name' });
  const devices = h('span');
  fill(head,
    h('div', { class: 'head-line' },
      h('a', { class: 'word', href: '/' }, 'Rundown'), name,
      h('nav', { 'aria-label': 'Pages' }, h('ul', {}, places.map((place) =>
        h('li', {}, h('a', { href: place.href, 'aria-current': place.page === page ? 'page' : null }, place.name))))),
      h('span', { class: 'head-tools' }, devices, button('Settings', settingsDialog, { class: 'quiet' }), button('Keys', keyList, { class: 'quiet keys-button' }))),
    away);
  fill(document.getElementById('foot'), h('p', {}, h('a', { href: '/guides' }, 'Test sheets'), ' · ', h('a', { href: '/calculate/wire' }, 'Calculators'), ' · Nothing is fetched from or sent to the internet.'));
  bookLine(name, devices);
  connection((up) => { away.hidden = up; }, signal);
  keys([{ key: '?', name: 'This list', does: keyList }], signal);
}

// Under the h1 of a sample's pages: its other pages.
export function samplePlaces(sample, page) {
  const list = [['sample', 'Sample'], ['plan', 'Plan'], ['guides', 'Test sheets'], ['opened', 'Opened'], ['replies', 'Replies'], ['publish', 'Publish']];
  return h('nav', { class: 'sample-places', 'aria-label': 'Of this sample' }, h('ul', {}, list.map(([word, name]) =>
    h('li', {}, h('a', { href: word === 'guides' ? `/guides?sample=${sample}` : `/${word}/${sample}`, 'aria-current': word === page ? 'page' : null }, name)))));
}
