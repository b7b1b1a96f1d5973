// Readings typed by eye: a row of fields for the fast way, and the text itself beside what each line was taken for.
// docs/readings.md is the form. Nothing is stored before all of it can be read; a draft outlives the page.
import { give } from '../../core/ask.js';
import { fill, freshId, h } from '../../core/dom.js';
import { paperEditor } from '../../core/paper_editor.js';
import { button } from '../../core/parts.js';
import { done, say } from '../../core/undo.js';
import { keepForm, readingsDraft, storedLine } from './keep.js';

const fields = [
  { word: 'time', name: 'Time', unit: '', size: 8, hint: '0:12:30' },
  { word: 'v', name: 'Volts', unit: 'V', size: 5 },
  { word: 'a', name: 'Amps', unit: 'A', size: 5 },
  { word: 'w', name: 'Watts', unit: 'W', size: 5 },
  { word: 'ah', name: 'Charge', unit: 'Ah', size: 5 },
  { word: 'wh', name: 'Energy', unit: 'Wh', size: 5 },
  { word: 'c', name: 'Temperature', unit: '°C', size: 5 },
  { word: 'words', name: 'Words', unit: '', size: 11, hint: 'burst, cut-off' },
];
const headings = ['title: ', 'kind: discharge', 'date: ', 'times: elapsed', 'times: clock', 'frame rate: 25', 'how: filmed', 'decimal: comma', 'invented: yes', 'note: '];
const most = 1 << 20; // bytes of a file of readings
const placeholder = '0:00  13.31 V  0 A\n0:10:30  12.98 V  22.6 A  burst\n-  12.52 V  66.7 Ah (seen)';

const unitOf = (value, unit) => unit === '' || /[a-z°]/i.test(value.replace(/^(ca\.?|about)\s*/i, '')) ? value : `${value} ${unit}`;

// Enter moves on, and behind the last field, or with Ctrl, it adds the line.
function entryRow(add) {
  const status = h('p', { class: 'entry-taken', role: 'status' });
  const made = fields.map((one) => {
    const input = h('input', { id: freshId('entry'), size: one.size, autocomplete: 'off', autocapitalize: 'off', placeholder: one.hint ?? null, inputmode: one.unit ? 'decimal' : 'text', class: one.unit ? 'n' : null });
    return { ...one, input, element: h('div', { class: 'entry-field' }, h('label', { for: input.id }, one.name, one.unit ? h('span', { class: 'soft' }, ` ${one.unit}`) : null), input) };
  });
  const put = async () => {
    const line = made.filter(({ input }) => input.value.trim() !== '').map(({ input, unit }) => unitOf(input.value.trim(), unit)).join('  ');
    if (line === '') return;
    for (const { input } of made) input.value = '';
    const words = add(line);
    made[0].input.focus();
    fill(status, await words);
  };
  made.forEach(({ input }, k) => input.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter') return;
    event.preventDefault();
    if (k + 1 < made.length && !event.ctrlKey) made[k + 1].input.focus();
    else put();
  }));
  return h('section', { 'aria-label': 'A line, field by field' },
    h('div', { class: 'entry-row' }, made.map(({ element }) => element), button('Add the line', put)),
    h('p', { class: 'soft' }, 'Enter moves on; behind the last field, or with Ctrl, it adds the line. ~ for about, > and < for bounds, 60..62 for a range.'), status);
}

function headingRow(editor) {
  const put = (heading) => {
    editor.set(`${heading}\n${editor.text}`);
    editor.goTo(1, heading.length + 1);
  };
  return h('details', {}, h('summary', {}, 'Headings'), h('p', { class: 'actions' }, headings.map((heading) => button(heading.trim(), () => put(heading), { class: 'quiet' }))));
}

export function fromTyping({ place, bench, sample, signal }) {
  const after = h('div', { class: 'stored-list' });
  const keep = keepForm({
    bench, asked: sample, name: '', signal, heading: 'h2',
    drop: async () => {
      await editor.settled();
      if (!editor.readable) return null;
      const name = keep.called.value.trim() || 'typed by eye';
      return (await give('POST', `/api/drops?name=${encodeURIComponent(`${name}.readings`)}`, editor.text)).drop;
    },
    stored: (what) => {
      const text = editor.text;
      after.append(storedLine({ ...what, name: what.name || 'typed by eye' }));
      editor.set('');
      editor.forget();
      done('Stored; the editor is empty again.', () => editor.set(text));
      after.lastChild.querySelector('a').focus();
    },
  });
  const tell = () => keep.ready(editor.readable, editor.text.trim() === '' ? 'Nothing is typed yet.'
    : editor.check === null ? '' : 'It can be stored once every line can be read.');
  const editor = paperEditor({ kind: 'readings', label: 'Readings, one instant a line', draft: readingsDraft(sample), signal, placeholder, onchange: () => tell() });

  async function add(line) {
    const before = editor.text;
    editor.append(line);
    done('Line added.', () => editor.set(before));
    await editor.settled();
    const number = editor.text.trimEnd().split('\n').length;
    const { words } = editor.about(number);
    return `Added: ${words || line}`;
  }

  // A file of readings dropped here is opened; what stood there comes back by Undo.
  async function take(file) {
    if (file.size > most) return void say(`${file.name} is no file of typed readings: they have up to 1 MiB. Logs are dropped under “From a file”.`);
    const before = editor.text;
    editor.set(await file.text());
    done(`${file.name} is opened.`, () => editor.set(before));
  }
  document.addEventListener('dragover', (event) => { if ([...event.dataTransfer?.types ?? []].includes('Files')) event.preventDefault(); }, { signal });
  document.addEventListener('drop', (event) => {
    if ((event.dataTransfer?.files.length ?? 0) === 0) return;
    event.preventDefault();
    take(event.dataTransfer.files[0]);
  }, { signal });

  const discard = () => {
    const text = editor.text;
    editor.set('');
    done('The draft is gone.', () => editor.set(text));
  };
  fill(place, after, editor.drafted ? h('p', { class: 'soft' }, 'A draft of an earlier visit; it is in this browser alone.') : null,
    entryRow(add), editor.element, headingRow(editor), h('p', {}, button('Empty the editor', discard, { class: 'quiet' })), keep.element);
  tell();
}
