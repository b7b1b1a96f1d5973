// Codes read off a picture, which is not kept: those of cells go into the field, one a line; what else is encoded is told.
import { give } from '../../core/ask.js';
import { fill, freshId, h } from '../../core/dom.js';
import { faultBox } from '../../core/parts.js';

const noCode = 'No code is read off it. Go nearer, with the light from the side, and hold still.';

function put(codes, control) {
  const there = control.value.split('\n').map((words) => words.trim()).filter(Boolean);
  const cells = codes.filter((code) => code.cell !== null).map((code) => code.text);
  control.value = [...new Set([...there, ...cells])].join('\n');
  return cells.length;
}

function told(codes, cells) {
  if (codes.length === 0) return h('p', {}, noCode);
  const others = codes.filter((code) => code.cell === null);
  return [h('p', {}, `${cells} ${cells === 1 ? 'code' : 'codes'} of cells read.`),
    others.length > 0 ? h('ul', {}, others.map((code) => h('li', {}, `Not of a cell: ${code.kind}: ${code.text}`))) : null];
}

export function readPicture(control, changed) {
  const answer = h('div', { role: 'status' });
  async function send() {
    const files = [...input.files];
    input.value = '';
    input.disabled = true; // one after the other
    try {
      const codes = [];
      for (const file of files) {
        fill(answer, h('p', { class: 'soft' }, `Looking at ${file.name}…`));
        codes.push(...(await give('POST', `/api/codes?${new URLSearchParams({ name: file.name })}`, file, file.type || 'application/octet-stream')).codes);
      }
      fill(answer, told(codes, put(codes, control)));
      changed();
    } catch (fault) {
      fill(answer, faultBox(fault));
    }
    input.disabled = false;
  }
  const input = h('input', { type: 'file', accept: 'image/*', multiple: true, id: freshId('file'), class: 'off-screen', onchange: send });
  return h('div', { class: 'no-print' }, h('p', {}, input, h('label', { for: input.id, class: 'button' }, 'Read off a picture')),
    h('small', {}, 'QR, Data Matrix, Code 128; the picture is not kept'), answer);
}
