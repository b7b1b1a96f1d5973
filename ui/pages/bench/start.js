// What is tested, what reads it, what is looked out for; then it begins.
import { get, post } from '../../core/ask.js';
import { fill, freshId, h } from '../../core/dom.js';
import { faultBox, field } from '../../core/parts.js';
import { addressOf } from '../../core/route.js';
import { cautionsFor } from './cautions.js';

const kindWords = { discharge: 'Discharge', charge: 'Charge', rest: 'Rest', protection: 'Protection' };
const sources = [
  { value: 'rig', words: 'the instruments of a rig' },
  { value: 'eye', words: 'my eyes: I type what the meters show' },
  { value: 'rehearsal', words: 'a rehearsal: an invented pack and bench, nothing is connected' },
];

function radios(legend, name, list, chosen, changed) {
  return h('fieldset', { onchange: changed }, h('legend', {}, legend), list.map(({ value, words }) =>
    h('label', { class: 'choice' }, h('input', { type: 'radio', name, value, checked: value === chosen }), words)));
}

const rigChoice = (bench, first) => h('select', {}, first,
  bench.rigs.map((rig) => h('option', { value: rig.id, disabled: rig.fault !== undefined },
    `${rig.name} (${rig.fault ?? (rig.instruments.length === 0 ? 'no instruments' : rig.instruments.join(', '))})`)));

function sampleField(bench, query) {
  const list = freshId('samples');
  const asked = bench.samples.find((one) => String(one.id) === query.get('sample'));
  const input = h('input', { list, autocomplete: 'off', value: asked?.name ?? '', maxlength: 120 });
  return { input, element: h('div', {}, field('Sample', input, 'A name that is new makes a new sample. A rehearsal may leave it empty.'),
    h('datalist', { id: list }, bench.samples.map((one) => h('option', { value: one.name })))) };
}

function rehearsalFields(bench) {
  const script = h('textarea', { rows: 14, spellcheck: 'false' }, bench.script);
  const speed = h('input', { type: 'number', min: 1, max: 10000, step: 'any', value: 600 });
  const seed = h('input', { type: 'number', min: 0, max: 4294967295, step: 1, placeholder: 'the script’s own' });
  const element = h('div', {},
    h('p', { class: 'invented' }, 'All data of a rehearsal are invented, and marked so wherever they are shown.'),
    h('div', { class: 'fields' }, field('Times faster than life', speed), field('Seed', seed, 'Draws the cells and the meters’ errors.')),
    h('details', {}, h('summary', {}, 'Its script'), field('Script', script, 'docs/rehearsal.md has the form.')));
  const wish = () => ({
    script: script.value, speed: Number(speed.value), ...(seed.value === '' ? {} : { seed: Number(seed.value) }),
  });
  return { element, wish };
}

function limitFields() {
  const usual = h('ul', { class: 'limits' });
  const own = h('textarea', { rows: 2, spellcheck: 'false', placeholder: 'low 10.5 V' });
  const element = h('details', {}, h('summary', {}, 'What is looked out for'),
    usual, field('Otherwise, a line each', own, 'low 10.5 V · high cell 3.6 V · most 120 A · high 45 °C · rise 3 °C/min · no low cell'),
    h('p', { class: 'soft' }, 'For your attention; they protect nothing. A fuse and the BMS do that.'));
  const ask = async (sample, kind, signal) => {
    const { limits } = await get(`/api/bench/limits?${new URLSearchParams({ sample, kind })}`, signal);
    fill(usual, limits.length === 0 ? h('li', {}, 'Nothing: this sample has no label that states the usual limits.') : limits.map((line) => h('li', {}, line)));
  };
  const lines = () => own.value.split('\n').map((line) => line.trim()).filter(Boolean);
  return { element, ask, lines };
}

// What is done by hand has a sheet to follow, with the numbers of the sample where it is one of the book.
function sheetLink(kind, sample) {
  if (kind !== 'charge' && kind !== 'protection') return null;
  return h('p', {}, h('a', { href: addressOf('/guides', { sample: sample?.id }) }, 'Test sheets'), ': what to prepare, to mark and to beware of.');
}

export function startForm(bench, query, signal, go) {
  const sample = sampleField(bench, query);
  const limits = limitFields();
  const rehearsal = rehearsalFields(bench);
  const rig = rigChoice(bench, bench.rigs.length === 0 ? h('option', { value: 0 }, 'none yet') : null);
  const eyeRig = rigChoice(bench, h('option', { value: 0 }, 'not stated: wide defaults stand'));
  const detail = h('div', { class: 'source-detail' });
  const warned = h('div', { class: 'cautions' });
  const answer = h('div', { 'aria-live': 'assertive' });
  const begin = h('button', { class: 'main' }, 'Begin');
  const chosen = (name) => form.querySelector(`input[name=${name}]:checked`).value;
  const details = {
    rig: () => bench.rigs.some((one) => one.instruments.length > 0) ? field('Rig', rig)
      : h('p', {}, 'No rig of the workshop names instruments. ', h('a', { href: '/rig' }, 'Describe one'), ', or type what you see.'),
    eye: () => field('The meters’ accuracy is that of', eyeRig),
    rehearsal: () => rehearsal.element,
  };
  const changed = () => {
    fill(detail, details[chosen('source')]());
    fill(warned, cautionsFor(chosen('kind'), chosen('source')), sheetLink(chosen('kind'), bench.samples.find((one) => one.name === sample.input.value.trim())));
    limits.ask(sample.input.value, chosen('kind'), signal).catch(() => {});
  };
  const wish = () => {
    const source = chosen('source');
    return {
      sample: sample.input.value.trim(), kind: chosen('kind'), limits: limits.lines(), by_eye: source === 'eye',
      ...(source === 'rehearsal' ? { rehearsal: rehearsal.wish() } : {}),
      ...(source === 'rig' && rig.value > 0 ? { rig: Number(rig.value) } : {}),
      ...(source === 'eye' && eyeRig.value > 0 ? { rig: Number(eyeRig.value) } : {}),
    };
  };
  const submit = async (event) => {
    event.preventDefault();
    if (chosen('source') === 'rig' && !bench.rigs.some((one) => one.instruments.length > 0)) {
      fill(answer, faultBox({ message: 'No rig of the workshop names instruments', remedy: 'Describe one on the page Rig, or type what you see.' }));
      return;
    }
    begin.disabled = true;
    fill(answer);
    try {
      const begun = await post('/api/recordings', wish());
      await go(`/bench?run=${begun.recording}`);
    } catch (fault) {
      fill(answer, faultBox(fault));
    }
    begin.disabled = false;
  };
  const first = bench.rigs.some((one) => one.instruments.length > 0) ? 'rig' : 'eye';
  const form = h('form', { onsubmit: submit },
    h('h2', {}, 'Begin a recording'), sample.element,
    radios('Test', 'kind', bench.kinds.map((value) => ({ value, words: kindWords[value] ?? value })), query.get('kind') ?? 'discharge', () => changed()),
    radios('Readings come from', 'source', sources, first, () => changed()),
    detail, limits.element, warned, answer, h('p', { class: 'actions' }, begin));
  sample.input.addEventListener('change', changed);
  changed();
  return form;
}
