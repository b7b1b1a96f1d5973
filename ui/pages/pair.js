// A device of the local network shows the code that the workshop's terminal prints, and gets a session.
import { post } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { faultBox, field } from '../core/parts.js';

const length = 8;

// The QR code's link carries the code behind #, which no request ever sends.
const codeOf = (words) => words.replace(/[^0-9A-Za-z]/g, '').toUpperCase();

export async function page({ main, title, signal }) {
  title('Pair this device');
  const typed = h('input', {
    maxlength: length + 2, autocomplete: 'one-time-code', autocapitalize: 'characters', spellcheck: 'false', class: 'code',
  });
  const answer = h('div', { 'aria-live': 'polite' });
  const pair = async (event) => {
    event?.preventDefault();
    try {
      await post('/api/pair', { code: codeOf(typed.value) });
      location.replace('/'); // afresh: the head shows who one is now
    } catch (fault) {
      fill(answer, faultBox(fault));
      typed.select();
    }
  };
  fill(main, h('h1', {}, 'Pair this device'),
    h('p', {}, 'The computer that runs Rundown prints two codes: one to read, one to operate. Give one of them, or scan its square.'),
    h('form', { onsubmit: pair }, field('Code', typed), h('p', { class: 'actions' }, h('button', { class: 'main' }, 'Pair'))),
    answer,
    h('p', { class: 'soft' }, 'The line between this device and that computer is not encrypted: pair on a network you trust.'));
  typed.focus();
  const scanned = async () => {
    typed.value = codeOf(location.hash);
    if (typed.value.length !== length) return;
    history.replaceState(null, '', '/pair'); // not left lying about in the address
    await pair();
  };
  addEventListener('hashchange', scanned, { signal }); // a second square, while this page is open
  await scanned();
}
