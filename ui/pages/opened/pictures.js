// Pictures of an item: from the phone's camera or a file, with a caption, chosen for sheet and page or not.
import { get, give, patch, remove } from '../../core/ask.js';
import { fill, freshId, h } from '../../core/dom.js';
import { button, confirmLoss, faultBox, openDialog, show } from '../../core/parts.js';

function codesView({ codes }) {
  if (codes.length === 0) return h('p', {}, 'No code is read off it. Go nearer, with the light from the side, and hold still.');
  return h('ul', {}, codes.map((code) => h('li', {}, `${code.kind}: ${code.text}`,
    code.cell ? h('span', { class: 'soft' }, ` (${[code.cell.chemistry, code.cell.made && `made ${code.cell.made}`].filter(Boolean).join(', ') || 'a cell'})`) : null)));
}

function pictureView(picture, operator, again) {
  const answer = h('div', { 'aria-live': 'polite' });
  const called = picture.caption || picture.name;
  const attempt = async (work) => {
    try {
      await work();
      await again();
    } catch (fault) {
      fill(answer, faultBox(fault));
    }
  };
  const caption = h('input', { value: picture.caption, placeholder: 'What it shows', 'aria-label': `Caption of ${picture.name}`, maxlength: 200,
    onchange: (event) => attempt(() => patch(`/api/pictures/${picture.picture}`, { caption: event.target.value })) });
  const chosen = h('label', {}, h('input', { type: 'checkbox', checked: picture.shown,
    onchange: (event) => attempt(() => patch(`/api/pictures/${picture.picture}`, { shown: event.target.checked })) }), 'On sheet and page');
  const lose = async () => {
    if (await confirmLoss('Remove the picture', `${called} is removed from the book for good.`, 'Remove')) attempt(() => remove(`/api/pictures/${picture.picture}`));
  };
  const codes = () => {
    const place = h('div', {}, 'Looking…');
    openDialog(`Codes on ${called}`, place);
    show(place, async () => codesView(await get(`/api/pictures/${picture.picture}/codes`)));
  };
  return h('figure', {},
    h('a', { href: `/api/pictures/${picture.picture}`, target: '_blank' }, h('img', { src: `/api/pictures/${picture.picture}?side=480`, alt: called, loading: 'lazy' })),
    operator ? h('div', { class: 'picture-tools no-print' }, caption, chosen, h('p', {},
      button('Codes', codes, { class: 'quiet', 'aria-label': `Codes on ${called}` }), button('Remove', lose, { class: 'quiet', 'aria-label': `Remove ${called}` })), answer)
      : h('figcaption', {}, picture.caption));
}

export function pictureTools({ sample, item, name, list, operator, again }) {
  const answer = h('div', { 'aria-live': 'polite' });
  async function send(event) {
    const files = [...event.target.files];
    try {
      for (const [k, file] of files.entries()) {
        fill(answer, h('p', { class: 'soft' }, `Picture ${k + 1} of ${files.length} is on its way…`));
        await give('POST', `/api/samples/${sample}/pictures?${new URLSearchParams({ name: file.name, item })}`, file, file.type || 'application/octet-stream');
      }
      await again();
    } catch (fault) {
      fill(answer, faultBox(fault));
    }
  }
  const input = h('input', { type: 'file', accept: 'image/*', multiple: true, id: freshId('file'), class: 'off-screen', onchange: send });
  return h('div', { class: 'item-pictures' }, list.length > 0 ? h('div', { class: 'pictures' }, list.map((picture) => pictureView(picture, operator, again))) : null,
    operator ? [h('p', { class: 'no-print' }, input, h('label', { for: input.id, class: 'button' }, `Add pictures of ${name}`)), answer] : null);
}
