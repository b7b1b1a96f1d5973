// One sample on the shelf: what was claimed, what was found, the verdicts in words, how thin the evidence is.
import { h } from '../../core/dom.js';
import { signed } from '../../core/numbers.js';
import { rung } from './rung.js';

// As it is written on a case: 100, 12.8, not 100.0.
const asStated = (value, unit) => `${signed(Number(value.toPrecision(5)))}\u00a0${unit}`;

const verdicts = ['not met', 'met', 'too close to call', 'not exercised', 'not tested'];

function claimCell(digest, key, name, unit, verdict, half) {
  const stated = digest.claimed?.[key];
  const found = digest.found?.[key];
  const words = found ? signed(found.words) : 'not found';
  if (!stated) return h('div', { class: `cell ${found ? '' : 'bare'}` }, h('span', { class: 'claimed' }, `${name}: no claim`), h('span', { class: found ? 'found' : 'found cannot' }, words));
  return h('div', { class: 'cell' },
    h('span', { class: 'claimed' }, `${name} `, h('span', { class: 'word-claimed' }, 'claimed '), h('b', {}, asStated(stated, unit))), rung(stated, found, half, verdict),
    h('span', { class: found ? 'found' : 'found cannot' }, words, verdict ? h('span', { class: 'off-screen' }, `, ${verdict}`) : null));
}

function verdictLine(digest) {
  const list = verdicts.filter((verdict) => digest.verdicts?.[verdict]);
  if (list.length === 0) return null;
  return h('p', { class: 'verdicts' }, list.map((verdict, k) => [k > 0 ? ' · ' : '',
    h('span', { class: verdict.replaceAll(' ', '-') }, `${digest.verdicts[verdict]} ${verdict}`)]));
}

function perLine(digest) {
  const { wh_per_price: price, wh_per_kg: mass, resistance_ohm: ohm, mass_kg: kg } = digest.found ?? {};
  const list = [kg && `${signed(kg.words)}${digest.mass_as_claimed ? ' (claimed)' : ''}`, ohm && signed(ohm.words), mass && signed(mass.words), price && signed(price.words)].filter(Boolean);
  return list.length > 0 ? h('p', { class: 'per' }, list.map((words, k) => [k > 0 ? ' · ' : '', h('span', { class: 'measure' }, words)])) : null;
}

function testedLine(row) {
  const runs = row.run_count === 0 ? 'no run' : row.run_count === 1 ? '1 run' : `${row.run_count} runs`;
  const when = row.last_run ? `, the last of ${row.last_run.slice(0, 10)}` : row.digest?.tested ? `, tested ${row.digest.tested}` : '';
  return h('p', { class: 'per' }, runs, when, row.open_runs ? h('strong', {}, ' · a run is open') : null);
}

function evidence(row) {
  const { digest } = row;
  if (digest?.fault) return h('p', { class: 'evidence not-met' }, `Cannot be assessed: ${digest.fault}`);
  return [
    digest?.thin ? h('p', { class: 'evidence' }, 'Thin evidence: ', digest.thin) : null,
    row.fresh ? null : h('p', { class: 'evidence' }, digest ? 'Changed since; being assessed' : 'Being assessed'),
  ];
}

// `chosen`: whether it is ticked to be compared; `onchoose(row, ticked)`.
export function rowElement(row, { half, chosen, onchoose }) {
  const digest = row.digest ?? {};
  const tick = h('input', { type: 'checkbox', checked: chosen, tabindex: '-1', 'aria-label': `Compare ${row.name}`, onchange: (event) => onchoose(row, event.target.checked) });
  const thin = Boolean(digest.thin) || Boolean(digest.fault) || row.digest === null;
  return h('li', { class: `sample-row ${thin ? 'thin' : ''}`, dataset: { sample: row.sample } },
    h('label', { class: 'tick' }, tick),
    h('div', { class: 'who' },
      h('a', { class: 'name', href: `/sample/${row.sample}`, tabindex: '-1' }, row.name), row.invented ? h('span', { class: 'tag' }, ' invented') : null,
      digest.description ? h('p', { class: 'per' }, digest.description) : null, testedLine(row)),
    claimCell(digest, 'charge_ah', 'Charge', 'Ah', digest.charge, half),
    claimCell(digest, 'energy_wh', 'Energy', 'Wh', digest.energy, half),
    h('div', { class: 'says' }, verdictLine(digest), perLine(digest), evidence(row)));
}
