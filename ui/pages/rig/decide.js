// What this rig can decide of a sample's claims, before the test, and which part of it is worth improving.
import { get } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { fixed, significant } from '../../core/numbers.js';
import { emptyState, field, show, table } from '../../core/parts.js';

const partWords = {
  voltage: 'The voltmeter', current: 'The current meter', shunt: 'The shunt', clock: 'The clock', ripple: 'The ripple of the load',
};
const share = (value) => (value === null ? '–' : value < 0.005 ? 'under 1 %' : fixed(100 * value, 0, '%'));

function advice(item) {
  const lines = [];
  if (item.part === 'ripple') lines.push('State it in the rig, or load without an inverter.');
  else if (!item.stated) lines.push('Its accuracy is not stated: state what the maker prints before you buy another.');
  if (item.settles > 0) lines.push(`Without its error ${item.settles} more claim${item.settles > 1 ? 's' : ''} could be decided.`);
  return lines.join(' ');
}

const claimLines = (item) => h('details', {}, h('summary', {}, `${item.claims.length} claim${item.claims.length > 1 ? 's' : ''}`),
  table(`Half-widths with ${partWords[item.part].toLowerCase()} improved`, ['Claim', '>Now', '>Half as uncertain', '>Without its error'],
    item.claims.map((claim) => [claim.name, claim.now, claim.halved ?? '–', claim.ideal])));

function ranking(improvements) {
  if (improvements.length === 0) return h('p', {}, 'No part of this rig widens an interval that is foreseen.');
  return h('ol', { class: 'improvements' }, improvements.map((item) => h('li', {},
    h('p', {}, h('strong', {}, partWords[item.part]), item.halved_brings === null
      ? `: intervals ${share(item.ideal_brings)} narrower once it is known to be small.`
      : item.ideal_brings < 0.005 ? ': next to nothing.'
      : `: intervals ${share(item.halved_brings)} narrower with half its uncertainty, ${share(item.ideal_brings)} without any.`),
    h('p', { class: 'soft' }, advice(item)), claimLines(item))));
}

const halfWidth = (claim) => (claim.half_width === null ? '–' : `± ${significant(claim.half_width, 2, claim.unit)}`);

function answer(found, paper) {
  if (found.plan === null)
    return emptyState(`${found.sample.name}: ${found.fault.what}.`, h('p', {}, h('a', { class: 'button', href: `/sample/${found.sample.sample}#label` }, 'To its label')));
  const claims = found.plan.claims.filter((claim) => claim.outlook !== 'needs another test');
  const rest = found.plan.claims.length - claims.length;
  return [
    found.loads === null ? h('p', { class: 'soft' }, 'No loads are in the book: what would be needed is taken to be there.') : null,
    table(`${found.sample.name} with ${paper?.name ?? 'no rig'}`, ['Claim', 'As stated', '>Expected', 'Outlook'],
      claims.map((claim) => [claim.name, claim.as_stated, halfWidth(claim), claim.outlook])),
    rest > 0 ? h('p', { class: 'soft' }, `${rest} more need${rest > 1 ? '' : 's'} another test, whatever the rig.`) : null,
    h('h3', {}, 'What would be worth improving'), ranking(found.improvements),
    h('p', {}, h('a', { href: `/plan/${found.sample.sample}?rig=${paper?.document ?? 'none'}` }, 'Plan its test with this rig'))];
}

export function decidePanel(paper, samples, chosen, signal) {
  const place = h('div', { 'aria-live': 'polite' });
  const ask = (id) => show(place, async () => answer(await get(`/api/samples/${id}/improve?rig=${paper?.document ?? 'none'}`, signal), paper));
  const select = h('select', { onchange: () => ask(select.value) }, samples.map((one) => h('option', { value: one.sample, selected: one.sample === chosen }, one.name)));
  const section = h('section', {}, h('h2', {}, 'What can it decide?'));
  if (samples.length === 0)
    return fill(section, h('h2', {}, 'What can it decide?'), emptyState('The book has no sample yet.', h('p', {}, h('a', { class: 'button', href: '/' }, 'To the shelf'))));
  section.append(field('Sample', select), place);
  ask(select.value);
  return section;
}
