// Which pictures of the sample stand on sheet and page, and what is written below each.
import { patch } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { faultBox, field } from '../../core/parts.js';
import { done } from '../../core/undo.js';

const words = (picture) => picture.item.replaceAll('-', ' ');
const nameOf = (picture) => picture.caption || picture.name;

function card(picture, changed) {
  const answer = h('div', { 'aria-live': 'polite' });
  const shown = h('input', { type: 'checkbox', checked: picture.shown });
  const caption = h('input', { value: picture.caption, maxlength: 500, autocomplete: 'off' });
  const image = h('img', { src: `/api/pictures/${picture.picture}?side=480`, alt: nameOf(picture), loading: 'lazy' });

  // What was before can be put back.
  async function send(change, said) {
    const before = Object.fromEntries(Object.keys(change).map((key) => [key, picture[key]]));
    try {
      Object.assign(picture, await patch(`/api/pictures/${picture.picture}`, change));
      done(said, () => patch(`/api/pictures/${picture.picture}`, before));
      fill(answer);
    } catch (fault) {
      fill(answer, faultBox(fault));
    }
    draw();
    changed();
  }
  function draw() {
    shown.checked = picture.shown;
    if (document.activeElement !== caption) caption.value = picture.caption;
    image.alt = nameOf(picture);
    element.classList.toggle('left-out', !picture.shown);
  }
  shown.addEventListener('change', () => send({ shown: shown.checked }, shown.checked ? `${nameOf(picture)} is on sheet and page.` : `${nameOf(picture)} is left out.`));
  caption.addEventListener('change', () => { if (caption.value.trim() !== picture.caption) send({ caption: caption.value.trim() }, 'The caption is changed.'); });
  const element = h('li', {}, image,
    h('label', { class: 'tick' }, shown, h('span', {}, 'Show ', picture.item ? h('em', {}, words(picture)) : picture.name)),
    field(`Caption of ${picture.item ? words(picture) : picture.name}`, caption), answer);
  draw();
  return { element, take(now) { Object.assign(picture, now); draw(); } };
}

// `show(pictures)` takes over what the server says; what is being written stays.
export function picturesPart(place, { operator, sample }) {
  let cards = new Map();
  const count = h('p', { class: 'soft' });
  const list = h('ul', { class: 'choose-pictures' });
  fill(place, count, list);
  const tally = (pictures) => fill(count, pictures.length === 0
    ? ['There are no pictures of this sample. ', operator ? h('a', { href: `/sample/${sample}` }, 'Bring some in on its page.') : null]
    : `${pictures.filter((one) => one.shown).length} of ${pictures.length} stand on sheet and page, each beside the item that it shows.`);

  return {
    show(pictures) {
      tally(pictures);
      if (!operator) return;
      const same = pictures.length === cards.size && pictures.every((one) => cards.has(one.picture));
      if (same) {
        for (const one of pictures) cards.get(one.picture).take(one);
        return;
      }
      cards = new Map(pictures.map((one) => [one.picture, card(one, () => tally(pictures))]));
      fill(list, [...cards.values()].map((one) => one.element));
    },
  };
}
