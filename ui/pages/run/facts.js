// Which run this is; its name and kind set right; taken away.
import { get, patch, remove } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { clockTime, instant } from '../../core/numbers.js';
import { button, confirmLoss, faultBox, field, openDialog, table } from '../../core/parts.js';
import { done, say } from '../../core/undo.js';

const kinds = ['discharge', 'charge', 'rest', 'protection', 'whole'];
const kindWords = { whole: 'a test of several parts', protection: 'protection' };
const fields = ['name', 'kind', 'sample'];

async function sampleChoice(now, signal) {
  const { samples = [] } = await get('/api/samples', signal).catch(() => ({}));
  if (samples.length < 2) return null;
  return h('select', {}, samples.map((one) => {
    const id = one.sample ?? one.id;
    return h('option', { value: id, selected: id === now }, one.name ?? one.sample_name);
  }));
}

async function correctDialog(facts, again, signal) {
  const name = h('input', { value: facts.name, maxlength: 100 });
  const kind = h('select', {}, kinds.map((one) => h('option', { value: one, selected: one === facts.kind }, kindWords[one] ?? one)));
  const sample = await sampleChoice(facts.sample, signal);
  const place = h('div', {});
  const form = h('form', { onsubmit: async (event) => {
    event.preventDefault();
    const wanted = { name: name.value.trim(), kind: kind.value, sample: sample ? Number(sample.value) : facts.sample };
    const changed = Object.fromEntries(fields.filter((key) => wanted[key] !== facts[key]).map((key) => [key, wanted[key]]));
    const before = Object.fromEntries(Object.keys(changed).map((key) => [key, facts[key]]));
    if (Object.keys(changed).length === 0) return dialog.close();
    try {
      await patch(`/api/runs/${facts.run}`, changed);
      dialog.close();
      await again();
      done('Set right; what stood before is kept.', async () => { await patch(`/api/runs/${facts.run}`, before); await again(); });
    } catch (fault) {
      fill(place, faultBox(fault));
    }
    return undefined;
  } }, field('Name', name), field('Kind', kind), sample ? field('Sample', sample) : null, place, h('p', { class: 'actions' }, h('button', { type: 'submit', class: 'main' }, 'Set right')));
  const dialog = openDialog('Set this run right', form);
}

async function takeAway(facts, go) {
  const sure = await confirmLoss('Remove this run', `Run ${facts.run} of ${facts.sample_name} goes with all its readings, and does not come back.`, 'Remove it', facts.name || String(facts.run));
  if (!sure) return;
  await remove(`/api/runs/${facts.run}`);
  say('The run is gone.');
  go(`/sample/${facts.sample}`);
}

const readingsOf = (facts) => facts.streams.reduce((sum, stream) => sum + stream.readings, 0);

export function head(facts) {
  const readings = readingsOf(facts);
  return [
    h('h1', {}, facts.name || `Run ${facts.run}`),
    h('p', { class: 'run-facts' }, `Run ${facts.run} of `, h('a', { href: `/sample/${facts.sample}` }, facts.sample_name), ` · ${kindWords[facts.kind] ?? facts.kind}, ${facts.origin}`,
      facts.start_utc_s === null ? ' · start not known' : ` · ${instant(new Date(facts.start_utc_s * 1000).toISOString())}${facts.zone_known ? '' : ' by a local clock'}`,
      facts.end_s === null ? '' : ` · ${clockTime(facts.end_s)}`, readings > 0 ? ` · ${readings.toLocaleString('en')} readings` : '',
      facts.open ? [' · ', h('a', { href: `/bench?run=${facts.run}` }, 'being recorded')] : ''),
    facts.invented ? h('p', { class: 'invented' }, 'Invented data') : null,
  ];
}

// Marks, calls, gaps and links, in order; a press goes there.
export function events(facts, goTo) {
  if (facts.events.length === 0) return null;
  return h('details', { class: 'events' }, h('summary', {}, `What happened (${facts.events.length})`),
    table('What happened', ['At', 'What', ''], facts.events.slice(0, 500).map((event) => [
      button(clockTime(event.t_s), () => goTo(event.t_s), { class: 'quiet' }),
      event.kind === 'gap' ? `gap, until ${clockTime(event.until_s)}` : event.topic || event.kind, event.text])),
    facts.events.length > 500 ? h('p', { class: 'soft' }, `The first 500 of ${facts.events.length}.`) : null);
}

export function papers(facts, operator, { again, go }, signal) {
  const paper = (name, document) => (document === null ? null : h('details', {}, h('summary', {}, `The ${name} that held: ${document.name}`), h('pre', {}, document.text)));
  const changed = facts.corrections;
  return h('section', {}, h('h2', {}, 'What belongs to it'), paper('rig', facts.rig), paper('label', facts.label),
    facts.rig === null ? h('p', { class: 'soft' }, 'No rig was stated: wide defaults stand for the meters.') : null,
    changed.length > 0 ? h('details', {}, h('summary', {}, `Set right ${changed.length} time${changed.length === 1 ? '' : 's'}`),
      h('ul', {}, changed.map((one) => h('li', {}, `${instant(one.when)}: ${one.field} “${one.before ?? ''}” became “${one.after ?? ''}”`)))) : null,
    operator ? h('p', { class: 'actions' }, button('Set this run right', () => correctDialog(facts, again, signal)),
      button('Remove this run', () => takeAway(facts, go), { class: 'loss', disabled: facts.open })) : null,
    h('p', {}, h('a', { href: `/api/runs/${facts.run}/curve.svg`, download: `run-${facts.run}-curve.svg` }, 'The curve as a picture, for paper')));
}
