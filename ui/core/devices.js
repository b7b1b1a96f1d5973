// Other devices: where they find this book, the codes that let them in, and who is in.
import { get, post, remove } from './ask.js';
import { figureOf, fill, h } from './dom.js';
import { clockTime } from './numbers.js';
import { button, caution, emptyState, faultBox, openDialog, table } from './parts.js';

const roles = { reader: 'read', operator: 'operate' };

function codePart(role, share) {
  const { code, qr } = share[role];
  return h('section', { class: 'device-code' },
    h('h3', {}, `To ${roles[role]}`),
    qr ? figureOf(qr) : null,
    h('p', { class: 'code' }, code));
}

function sharedPart(share, again) {
  return h('div', {},
    h('p', {}, 'On the other device, scan a square, or open ',
      share.addresses.flatMap((address, k) => [k > 0 ? ' or ' : '', h('code', {}, address)]), ' and type the code under it.'),
    h('div', { class: 'device-codes' }, codePart('reader', share), codePart('operator', share)),
    caution('The line is not encrypted: whoever listens on this network can read along. Share the book on a network you trust.'),
    h('p', { class: 'actions' }, button('New codes', async () => { await post('/api/share/codes'); again(); })));
}

function sessionsPart(sessions, again) {
  if (sessions.length === 0) return emptyState('No other device is in.');
  return table('Devices that are in', ['From', 'May', 'Last heard of', ''], sessions.map((one) => [
    one.from, roles[one.role], `${clockTime(one.unused_s)} ago`,
    button('End', async () => { await remove(`/api/sessions/${one.name}`); again(); }, { 'aria-label': `End the session from ${one.from}` }),
  ]));
}

const loopbackPart = () => h('p', {}, 'Only this computer can come in. To let a phone or a tablet in, end Rundown with Ctrl-C where it runs, and start it with ',
  h('code', {}, '--share'), ' behind the name of the book.');

// `about`: of /api/book. An operator's: whoever only reads is not told the codes.
export function devicesDialog(about) {
  const place = h('div', { 'aria-live': 'polite' });
  const again = async () => {
    try {
      const [share, { sessions }] = await Promise.all([get('/api/share'), get('/api/sessions')]);
      fill(place, share.shared ? [sharedPart(share, again), sessionsPart(sessions, again)] : loopbackPart());
    } catch (fault) {
      fill(place, faultBox(fault));
    }
  };
  openDialog('Other devices', place, about.local ? null : leavePart());
  again();
}

// For a device that is in by a code: it need not wait until its session is forgotten.
export const leavePart = () => h('p', { class: 'actions' },
  button('Leave: end the session of this device', async () => { await remove('/api/pair'); location.assign('/pair'); }));
