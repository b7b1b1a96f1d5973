// A row a claim: the claim, the interval that is to be expected at it, and what can be said in words.
import { figureOf, h } from '../../core/dom.js';

const outlooks = ['can be decided', 'only if it is clear', 'out of reach', 'needs another test'];
const slug = (words) => words.replaceAll(' ', '-');

const counted = (count, outlook) => `${count} ${count > 1 ? outlook.replace('needs', 'need') : outlook}`;
const countWords = (claims) => outlooks.map((outlook) => [claims.filter((one) => one.outlook === outlook).length, outlook])
  .filter(([count]) => count > 0).map(([count, outlook]) => counted(count, outlook)).join(', ');

export const sentence = (words) => words.charAt(0).toUpperCase() + words.slice(1) + (/[.!?]$/.test(words) ? '' : '.');

const row = (claim, rung) => h('li', { class: 'plan-claim' },
  h('p', { class: 'plan-name' }, h('strong', {}, claim.name), ' ', h('span', { class: 'soft' }, claim.as_stated)),
  h('div', { class: 'plan-rung' }, figureOf(rung)),
  h('div', { class: 'plan-outlook' },
    h('p', {}, h('strong', { class: `outlook ${slug(claim.outlook)}` }, claim.outlook)),
    h('p', { class: 'soft' }, sentence(claim.reason)),
    claim.cheapest_change === '' ? null : h('p', { class: 'soft' }, 'Cheapest change: ', claim.cheapest_change, '.')));

// Claims that the same thing would settle, in one line.
function others(claims) {
  const byReason = new Map();
  for (const claim of claims) byReason.set(claim.reason, [...(byReason.get(claim.reason) ?? []), claim]);
  return h('ul', { class: 'plan-others' }, [...byReason].map(([reason, list]) => h('li', {},
    list.map((claim, k) => [k > 0 ? ', ' : '', h('strong', {}, claim.name), ' ', h('span', { class: 'soft' }, claim.as_stated)]), ': ', sentence(reason))));
}

export function claimRows({ plan, rungs, scale }, sample) {
  const { claims } = plan;
  const reached = claims.map((claim, k) => ({ claim, rung: rungs[k] })).filter(({ claim }) => claim.outlook !== 'needs another test');
  const rest = claims.filter((claim) => claim.outlook === 'needs another test');
  return [
    h('p', {}, `${countWords(claims)}. A line across the claim is the interval that this rig would give if the sample delivered just what is claimed.`),
    reached.length === 0 ? null : h('ol', { class: 'plan-rows' },
      h('li', { class: 'plan-claim plan-scale', 'aria-hidden': 'true' }, h('span', {}), h('div', { class: 'plan-rung' }, figureOf(scale)), h('span', {})),
      reached.map(({ claim, rung }) => row(claim, rung))),
    rest.length === 0 ? null : [h('h3', {}, 'Needs another test'), others(rest),
      h('p', { class: 'no-print' }, h('a', { href: `/guides?sample=${sample}` }, 'Test sheets: how each is tested by hand'))],
  ];
}
