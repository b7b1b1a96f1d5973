// Replies: a card for each claim, to hand to whoever disputes it: result, evidence, largest doubt, what would overturn it.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { samplePlaces } from '../core/head.js';
import { listen } from '../core/live.js';
import { button, copyText, emptyState, verdictWord } from '../core/parts.js';
import { addressOf } from '../core/route.js';
import { onSetting, setting } from '../core/settings.js';
import { say } from '../core/undo.js';

const parts = [['Result', 'result'], ['Evidence', 'evidence'], ['Largest doubt', 'doubt'], ['What would overturn it', 'overturn']];

function printOne(article) {
  document.body.classList.add('one-card');
  article.classList.add('printed');
  addEventListener('afterprint', () => {
    document.body.classList.remove('one-card');
    article.classList.remove('printed');
  }, { once: true });
  print();
}

async function copy(reply) {
  await copyText(reply.text);
  say(`The card of ${reply.name} is copied.`);
}

function card(reply, sample, about) {
  const article = h('article', { class: 'reply', id: reply.claim, tabindex: '-1', 'aria-labelledby': `of-${reply.claim}` },
    h('p', { class: 'card-head' }, h('span', {}, about.sample), about.invented ? h('strong', {}, 'Invented data') : null),
    h('h2', { id: `of-${reply.claim}` }, reply.name),
    h('p', { class: 'stated' }, reply.stated, reply.where ? h('span', { class: 'soft' }, ` · ${reply.where}`) : null, ' ', verdictWord(reply.verdict)),
    h('dl', {}, parts.map(([name, key]) => h('div', {}, h('dt', {}, name), h('dd', {}, reply[key])))),
    h('p', { class: 'card-foot' }, 'One sample is one sample.'),
    h('p', { class: 'actions' },
      button('Copy as text', () => copy(reply), { 'aria-label': `Copy ${reply.name} as text` }),
      button('Print this card', () => printOne(article), { 'aria-label': `Print the card of ${reply.name}` })));
  return article;
}

const kinds = [['all', 'All claims'], ['decided', 'Decided'], ['open', 'Open']];
const isOpen = (reply) => !['met', 'not met'].includes(reply.verdict);

function cards(all, sample, kind) {
  const list = all.replies.filter((reply) => kind === 'all' || isOpen(reply) === (kind === 'open'));
  return list.length > 0 ? list.map((reply) => card(reply, sample, all)) : emptyState('No claim of that sort.');
}

export async function page({ main, number, query, signal, title }) {
  title('Replies');
  const ask = () => get(addressOf(`/api/samples/${number}/replies`, { decimal: setting('decimal') }), signal);
  let all = await ask(), kind = query.get('show') ?? 'all';
  title(`Replies, ${all.sample}`);
  const place = h('div', { class: 'replies' });
  const draw = () => fill(place, cards(all, number, kind));
  const again = async () => { all = await ask(); draw(); };
  const choice = h('p', { class: 'reply-kinds', role: 'group', 'aria-label': 'Which claims' }, kinds.map(([word, words]) => button(words, (event) => {
    kind = word;
    for (const one of choice.children) one.setAttribute('aria-pressed', String(one === event.target));
    draw();
  }, { 'aria-pressed': String(word === kind) })));
  fill(main, h('h1', {}, 'Replies of ', all.sample), samplePlaces(number, 'replies'),
    h('p', { class: 'no-print' }, 'A card for each claim that somebody may dispute: hand it over, or print it.'),
    all.replies.length > 0 ? [choice, place] : emptyState('The label states no claim yet.', h('p', {}, h('a', { href: `/sample/${number}` }, 'Type what is printed on the sample'), '.')));
  draw();
  const wanted = document.getElementById(location.hash.slice(1));
  if (location.hash && wanted) {
    wanted.scrollIntoView();
    wanted.focus({ preventScroll: true });
  }
  listen('book', (news) => { if (news !== null && news.sample === number) again(); }, signal);
  onSetting((name) => { if (name === 'decimal') again(); }, signal);
}
