// Where readings go: whose they are, what was tested, which meters read them. Then they are stored.
import { post } from '../../core/ask.js';
import { fill, freshId, h } from '../../core/dom.js';
import { faultBox, field, progressLine } from '../../core/parts.js';
import { followTask, stopTask } from '../../core/task.js';

const kinds = [
  ['whole', 'a test of several parts'], ['discharge', 'discharge'], ['charge', 'charge'], ['rest', 'rest'], ['protection', 'protection'],
];
const last = { sample: null, kind: null, rig: null }; // of the file before: often the next one is alike

function sampleField(bench, asked) {
  const list = freshId('samples');
  const found = bench.samples.find((one) => String(one.id) === asked);
  const input = h('input', { list, autocomplete: 'off', maxlength: 120, value: found?.name ?? last.sample ?? '' });
  const hint = h('small', { id: freshId('hint') });
  const tell = () => {
    const name = input.value.trim();
    const known = bench.samples.some((one) => one.name === name);
    hint.textContent = 'A new sample of this name will be made.';
    hint.hidden = name === '' || known;
  };
  input.addEventListener('input', tell);
  input.setAttribute('aria-describedby', hint.id);
  tell();
  return {
    input,
    element: h('div', { class: 'field' }, h('label', { for: input.id ||= freshId('field') }, 'Sample'), input, hint,
      h('datalist', { id: list }, bench.samples.map((one) => h('option', { value: one.name })))),
    value: () => bench.samples.find((one) => one.name === input.value.trim())?.id ?? input.value.trim(),
  };
}

// {bench, asked, name, signal, drop, stored, heading}. `drop()` gives the number of the file to be stored, or null when it cannot
// be; `stored({run, sample, name})` is told. → {element, ready(bool, why)}
export function keepForm({ bench, asked, name, signal, drop, stored, heading = 'h3' }) {
  const sample = sampleField(bench, asked);
  const kind = h('select', {}, kinds.map(([value, words]) => h('option', { value, selected: value === last.kind }, words)));
  const rig = h('select', {}, h('option', { value: 0 }, 'not stated: wide defaults stand'),
    bench.rigs.map((one) => h('option', { value: one.id, selected: one.id === last.rig }, one.name)));
  const called = h('input', { value: name, maxlength: 120, autocomplete: 'off' });
  const go = h('button', { class: 'main', disabled: true }, 'Store in the book');
  const why = h('p', { class: 'soft', id: freshId('why') });
  const answer = h('div', { 'aria-live': 'assertive' });
  go.setAttribute('aria-describedby', why.id);

  async function store(event) {
    event.preventDefault();
    go.disabled = true;
    fill(answer);
    try {
      const id = await drop();
      if (id === null) return;
      const wish = { sample: sample.value(), kind: kind.value, rig: Number(rig.value), name: called.value.trim() };
      const { task } = await post(`/api/drops/${id}/confirm`, wish);
      const line = progressLine('Storing', () => stopTask(task));
      fill(answer, line);
      const result = await followTask(task, line.show, signal);
      Object.assign(last, { sample: sample.input.value.trim(), kind: kind.value, rig: Number(rig.value) });
      if (typeof wish.sample === 'string') bench.samples.push({ id: result.sample, name: wish.sample });
      fill(answer);
      stored({ ...result, name: called.value.trim(), sampleName: last.sample });
    } catch (fault) {
      fill(answer, faultBox(fault));
      go.disabled = false;
    }
  }

  const element = h('form', { class: 'keep', onsubmit: store },
    h(heading, {}, 'Where it goes'),
    h('div', { class: 'fields' }, sample.element, field('What was tested', kind), field('Rig', rig), field('Call it', called)),
    h('p', { class: 'actions' }, go), why, answer);
  return {
    element,
    called,
    ready(is, words = '') {
      go.disabled = !is;
      why.textContent = is ? '' : words;
    },
  };
}

// Where the draft of typed readings is kept, one a sample.
export const readingsDraft = (sample) => sample ? `readings-${sample}` : 'readings';

export const storedLine = ({ run, sample, name, sampleName }) => h('p', { class: 'stored', role: 'status' },
  'Stored: ', h('a', { href: `/run/${run}` }, `run ${run}, ${name}`), ' of ', h('a', { href: `/sample/${sample}` }, sampleName), '.');
