// Publish: what is missing before a verdict can be defended; the tester's own words and pictures; sheet and page as they
// will look, with what was chosen.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator, samplePlaces } from '../core/head.js';
import { listen } from '../core/live.js';
import { emptyState, faultBox, show } from '../core/parts.js';
import { addressOf } from '../core/route.js';
import { missingList } from './publish/missing.js';
import { opinionPart } from './publish/opinion.js';
import { choicesForm, startChoices } from './publish/options.js';
import { picturesPart } from './publish/pictures.js';

const downloads = (sample, chosen, offer) => [
  ['sheet.pdf', 'The sheet, PDF'],
  ['page.html', 'The page, one HTML file'],
  ...(offer.claims > 0 ? [['figures/ladder.svg', 'The ladder, SVG'], ['figures/ladder.png', 'The ladder, PNG']] : []),
  ...(offer.curve ? [['figures/curve.svg', 'The curve, SVG'], ['figures/curve.png', 'The curve, PNG']] : []),
].map(([file, name], k) => h('a', { class: k < 2 ? 'button main-link' : 'button', href: addressOf(`/api/samples/${sample}/${file}`, { ...chosen, save: 'yes' }), download: '' }, name));

// Pages of the sheet as pictures, which every device can show; each wide enough for its place on a dense screen.
function sheetPages(sample, chosen, pages, name) {
  const pdf = addressOf(`/api/samples/${sample}/sheet.pdf`, chosen);
  return Array.from({ length: pages }, (_, k) => h('a', { href: pdf, target: '_blank' }, h('img', {
    class: 'sheet-page', alt: `Page ${k + 1} of ${pages} of the sheet of ${name}; its words are in the page below`, loading: k > 0 ? 'lazy' : null,
    width: 1190, height: chosen.paper === 'letter' ? 1540 : 1684,
    src: addressOf(`/api/samples/${sample}/sheet/${k + 1}`, chosen),
  })));
}

// Tab goes past the frame: what has the focus inside of it cannot be seen from here. By itself the page is read with keys.
const pageFrame = (sample, chosen, name) => {
  const src = addressOf(`/api/samples/${sample}/page.html`, chosen);
  return [h('p', {}, h('a', { href: src, target: '_blank' }, 'Open it by itself')),
    h('iframe', { class: 'page-frame', title: `The page of ${name}`, src, sandbox: '', loading: 'lazy', tabindex: '-1' })];
};

export async function page({ main, number, signal, title }) {
  title('Publish');
  const [offer, missing, operator] = await Promise.all([get(`/api/samples/${number}/publishing`, signal), get(`/api/samples/${number}/missing`, signal), isOperator()]);
  title(`Publish ${offer.sample}`);
  const chosen = startChoices(offer);
  const links = h('div', { class: 'actions downloads' });
  const sheet = h('div', { class: 'sheet-pages' });
  const frame = h('div', {});
  const first = h('div', {});
  const opinion = h('div', {});
  const pictures = h('div', {});
  const words = opinionPart(opinion, { sample: number, operator });
  const chosenPictures = picturesPart(pictures, { sample: number, operator });

  let turn = 0;
  async function draw() {
    const mine = ++turn; // an answer that comes late is not shown over a newer one
    const query = chosen.query();
    fill(links, downloads(number, query, offer));
    fill(frame, pageFrame(number, query, offer.sample));
    try {
      const now = await get(addressOf(`/api/samples/${number}/publishing`, query), signal);
      if (mine !== turn) return;
      fill(sheet, sheetPages(number, query, now.sheet_pages, offer.sample));
      words.show(now);
    } catch (fault) {
      if (fault.name !== 'AbortError') fill(sheet, faultBox(fault));
    }
  }
  const drawPictures = async () => chosenPictures.show((await get(`/api/samples/${number}`, signal)).pictures);
  const drawMissing = (list) => fill(first, missingList(list.missing, number));

  fill(main,
    h('h1', {}, 'Publish ', offer.sample), samplePlaces(number, 'publish'),
    offer.invented ? h('p', { class: 'invented' }, h('strong', {}, 'Invented data. '), 'Sheet and page say so at their head and foot.') : null,
    offer.runs.length === 0 ? emptyState('There are no readings of this sample yet.', h('p', {}, h('a', { href: `/bench?sample=${number}` }, 'Record a test'), ' or ', h('a', { href: `/add?sample=${number}` }, 'bring in a log'), '.')) : null,
    h('h2', { class: 'first' }, 'Missing for a verdict that can be defended'), first,
    h('h2', {}, 'The summary'), opinion,
    h('h2', {}, 'Pictures'), pictures,
    h('h2', {}, 'As it will look'),
    h('div', { class: 'publish-desk' },
      choicesForm(offer, chosen, draw),
      h('div', {}, h('h3', {}, 'To take away'), links, h('h3', {}, 'The sheet'), sheet, h('h3', {}, 'The page'), frame)));
  drawMissing(missing);
  listen('book', (news) => {
    if (news === null || news.sample !== number || !['run', 'document', 'picture', 'sample'].includes(news.what)) return;
    draw();
    if (news.what === 'picture') drawPictures();
    show(first, async () => missingList((await get(`/api/samples/${number}/missing`, signal)).missing, number));
  }, signal);
  words.show(offer);
  await Promise.all([draw(), drawPictures()]);
}
