// Film: chosen figures at a fixed size on a plain or transparent ground, to lay over a film; without a choice, a form
// that composes the address.
//
//     /film?show=v,a,w&ground=clear&size=1280x360&run=12
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { button, copyText, emptyState, field } from '../core/parts.js';
import { listen } from '../core/live.js';
import { addressOf } from '../core/route.js';
import { say } from '../core/undo.js';
import { figureList, figures } from './bench/figures.js';
import { asOfNow, follow } from './bench/follow.js';

const grounds = { plain: 'as the pages', clear: 'transparent', white: 'white', black: 'black', green: 'green, to be keyed out', blue: 'blue, to be keyed out' };
const sizes = ['1280x720', '1920x1080', '1280x240', '1920x320', '640x360', '1080x1920'];
const keyed = { green: '#00b140', blue: '#0047bb' }; // usual greens and blues of studio cloth, from memory

function sizeOf(text) {
  const [, width, height] = /^(\d{2,4})x(\d{2,4})$/.exec(text ?? '') ?? [null, '1280', '720'];
  return { width: Number(width), height: Number(height) };
}

// So many columns that the figures come out largest, where they fill their rows; each is seven digits and a unit wide.
function layout(count, { width, height }) {
  let best = { columns: 1, size: 0 };
  for (let columns = 1; columns <= count; columns++) {
    if (count % columns !== 0) continue;
    const size = Math.min(width / columns / 5.4, (height - 30) / (count / columns) / 1.3);
    if (size > best.size) best = { columns, size };
  }
  return best;
}

function film(main, words, ground, size) {
  const { columns, size: letter } = layout(words.length, size);
  const shown = figures(words);
  const invented = h('p', { class: 'film-invented', hidden: true }, 'invented data');
  document.documentElement.dataset.ground = ground;
  fill(main, h('h1', { class: 'off-screen' }, 'Figures of the recording'),
    h('div', { class: 'film', style: { width: `${size.width}px`, height: `${size.height}px`, fontSize: `${letter}px`, gridTemplateColumns: `repeat(${columns}, auto)`, background: keyed[ground] ?? '' } },
      shown.elements, invented));
  return (state) => { shown.show(state); invented.hidden = !state.invented; };
}

async function runOf(query, signal) {
  const asked = Number(query.get('run') ?? 0);
  if (asked > 0) return asked;
  const { recordings } = await get('/api/bench', signal);
  return (recordings.find((one) => one.state === 'recording') ?? recordings[0])?.recording ?? 0;
}

function compose(main, run, title) {
  title('Figures for a film');
  const address = h('output', { class: 'film-address' });
  const link = h('a', { class: 'button', target: '_blank' }, 'Open it');
  const ground = h('select', {}, Object.entries(grounds).map(([value, words]) => h('option', { value }, words)));
  const size = h('input', { value: sizes[0], list: 'film-sizes', pattern: '\\d{2,4}x\\d{2,4}', autocomplete: 'off' });
  const boxes = Object.entries(figureList).map(([word, { name }]) =>
    [word, h('input', { type: 'checkbox', checked: word !== 't' && word !== 'wh' }), name]);
  const draw = () => {
    const show = boxes.filter(([, box]) => box.checked).map(([word]) => word).join(',');
    const path = addressOf('/film', { show, ground: ground.value, size: size.value, run: run || undefined }).replaceAll('%2C', ',');
    address.textContent = location.origin + path;
    link.href = path;
  };
  fill(main, h('h1', {}, 'Figures for a film'),
    h('p', {}, 'Figures of a recording at a fixed size, for a window that is laid over a film or shown beside it.'),
    h('form', { oninput: draw },
      h('fieldset', {}, h('legend', {}, 'Figures'), boxes.map(([, box, name]) => h('label', { class: 'choice' }, box, name))),
      field('Background', ground), field('Size', size, 'width x height, in pixels'), h('datalist', { id: 'film-sizes' }, sizes.map((value) => h('option', { value })))),
    h('p', {}, address), h('p', { class: 'actions' }, link, button('Copy the address', () => copyText(address.textContent).then(() => say('Copied.')))),
    run ? null : h('p', {}, 'Without a run the address shows whatever is being recorded.'),
    h('p', {}, h('a', { href: '/bench' }, 'To the bench')));
  draw();
}

export async function page({ main, query, signal, go, title }) {
  signal.addEventListener('abort', () => delete document.documentElement.dataset.ground);
  if (!query.has('show')) return compose(main, Number(query.get('run') ?? 0), title);
  title('Film');
  const words = query.get('show').split(',').filter((word) => word in figureList);
  const ground = query.get('ground') in grounds ? query.get('ground') : 'plain';
  const run = await runOf(query, signal);
  if (run === 0 || words.length === 0) {
    if (run === 0) listen('live', () => go(location.href, { replace: true }), signal); // whatever is recorded next
    fill(main, h('h1', {}, 'Film'), emptyState(run === 0 ? 'Nothing is being recorded.' : 'No figure is chosen.', h('a', { href: '/bench' }, 'To the bench')));
    return;
  }
  const show = film(main, words, ground, sizeOf(query.get('size')));
  let latest = null;
  await follow(run, { state: (state) => { latest = state; show(state); } }, signal);
  const timer = setInterval(() => latest && show(asOfNow(latest)), 200);
  signal.addEventListener('abort', () => clearInterval(timer));
}
