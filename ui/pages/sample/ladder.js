// The claims ladder as the server draws it: every rung opens the chain behind its verdict.
import { get, getText } from '../../core/ask.js';
import { chainView, runsOfLogs } from '../../core/chain.js';
import { figureOf, fill, h, s } from '../../core/dom.js';
import { measureText, openDialog, show, table, verdictWord } from '../../core/parts.js';
import { onSetting, setting } from '../../core/settings.js';

const least = 280;
const most = 1200;

// The order of the rungs: as on the label, those that were not tested last.
const inOrder = (claims) => [...claims.filter((claim) => claim.verdict !== 'not tested'), ...claims.filter((claim) => claim.verdict === 'not tested')];

export function openClaim(sample, claim, assessment) {
  const place = h('div', {}, 'Reading…');
  const runs = runsOfLogs(assessment);
  openDialog(claim.name, place);
  show(place, async () => chainView(await get(`/api/samples/${sample}/chains/${encodeURIComponent(claim.claim)}`), { runOf: (log) => runs[log] ?? 0 }));
}

function openRung(group, claim, open) {
  const box = group.getBBox();
  const width = group.ownerSVGElement.viewBox.baseVal.width;
  group.prepend(s('rect', { class: 'rung-ground', x: 0, y: box.y - 3, width, height: box.height + 6 }));
  group.classList.add('rung');
  group.setAttribute('tabindex', '-1');
  group.setAttribute('role', 'button');
  group.setAttribute('aria-label', `${group.querySelector('title')?.textContent ?? claim.name}. What it rests on`);
  group.addEventListener('click', open);
  group.addEventListener('keydown', (event) => {
    if (event.key !== 'Enter' && event.key !== ' ') return;
    event.preventDefault();
    open();
  });
}

// One stop for the Tab key; from rung to rung by the arrows, Home and End.
function walk(rungs) {
  rungs[0]?.setAttribute('tabindex', '0');
  rungs.forEach((rung, k) => rung.addEventListener('keydown', (event) => {
    const to = { ArrowDown: k + 1, ArrowUp: k - 1, Home: 0, End: rungs.length - 1 }[event.key];
    if (rungs[to] === undefined) return;
    event.preventDefault();
    rung.setAttribute('tabindex', '-1');
    rungs[to].setAttribute('tabindex', '0');
    rungs[to].focus();
  }));
}

function claimTable(sample, assessment) {
  return table('Claims and what was found', ['Claim', 'As stated', 'Measured', 'Verdict', 'Why'], inOrder(assessment.claims).map((claim) => [
    h('button', { type: 'button', class: 'quiet', onclick: () => openClaim(sample, claim, assessment) }, claim.name),
    [claim.as_stated, claim.where].filter(Boolean).join(' · '),
    claim.measured?.value === null ? claim.found || '–' : measureText(claim.measured),
    verdictWord(claim.verdict),
    [claim.reason, claim.would_decide && `Wanted: ${claim.would_decide}`].filter(Boolean).join('. '),
  ]));
}

// `place` gets the figure; it is drawn anew where the room for it changes.
export function ladder(place, sample, assessment, signal) {
  const figure = h('figure', { class: 'ladder' });
  const numbers = h('details', { class: 'no-print' }, h('summary', {}, 'The same as a table'), claimTable(sample, assessment));
  fill(place, figure, numbers);
  const claims = inOrder(assessment.claims);
  let drawn = 0;

  async function draw() {
    const width = Math.round(Math.min(most, Math.max(least, figure.clientWidth)));
    if (Math.abs(width - drawn) < 24) return;
    drawn = width;
    const svg = figureOf(await getText(`/api/samples/${sample}/ladder.svg?width=${width}&decimal=${setting('decimal')}`, signal));
    if (width !== drawn) return; // another is on its way
    fill(figure, svg);
    const rungs = [...svg.querySelectorAll(':scope > g[role=img]')].slice(0, claims.length);
    rungs.forEach((group, k) => openRung(group, claims[k], () => openClaim(sample, claims[k], assessment)));
    walk(rungs);
  }

  const watch = new ResizeObserver(() => draw().catch((fault) => { if (fault.name !== 'AbortError') throw fault; }));
  watch.observe(figure);
  onSetting((name) => { if (name === 'decimal') { drawn = 0; draw(); } }, signal);
  const end = () => watch.disconnect();
  signal.addEventListener('abort', end);
  return { end, toggleNumbers: () => { numbers.open = !numbers.open; if (numbers.open) numbers.querySelector('.scroll').focus(); } };
}
