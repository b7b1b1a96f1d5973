// The rows on the page: those within reach of the eye are drawn, more as one comes near the end. One row is the
// present one, which the arrow keys move.
import { fill, h } from '../../core/dom.js';
import { rowElement } from './row.js';

const first = 24;
const more = 80;

export function rowList({ onchoose, signal }) {
  const list = h('ol', { class: 'shelf', role: 'list' });
  const end = h('div', { 'aria-hidden': 'true' });
  const made = new Map(); // sample -> {row, half, element}
  const chosen = new Map();
  let rows = [];
  let half = 0;
  let shown = 0;
  let present = 0; // its sample

  const choose = (row, ticked) => {
    if (ticked) chosen.set(row.sample, row);
    else chosen.delete(row.sample);
    onchoose([...chosen.values()]);
  };

  function elementOf(row) {
    const kept = made.get(row.sample);
    if (kept?.row === row && kept.half === half) return kept.element;
    const element = rowElement(row, { half, chosen: chosen.has(row.sample), onchoose: choose });
    made.set(row.sample, { row, half, element });
    return element;
  }

  function grow(count) {
    const next = rows.slice(shown, shown + count);
    list.append(...next.map(elementOf));
    shown += next.length;
    end.hidden = shown >= rows.length;
  }

  function markPresent() {
    const elements = [...list.children];
    const at = elements.find((element) => Number(element.dataset.sample) === present) ?? elements[0];
    for (const element of list.querySelectorAll('[tabindex="0"]')) element.tabIndex = -1;
    if (at === undefined) return;
    present = Number(at.dataset.sample);
    for (const element of at.querySelectorAll('a.name, input')) element.tabIndex = 0;
  }

  const watcher = new IntersectionObserver((seen) => { if (seen.some((one) => one.isIntersecting)) grow(more); }, { rootMargin: '1200px' });
  watcher.observe(end);
  const all = () => grow(rows.length);
  addEventListener('beforeprint', all);
  signal.addEventListener('abort', () => { watcher.disconnect(); removeEventListener('beforeprint', all); });
  list.addEventListener('focusin', (event) => {
    const row = event.target.closest('li');
    if (row === null || Number(row.dataset.sample) === present) return;
    present = Number(row.dataset.sample);
    markPresent();
  });

  return {
    element: h('div', {}, list, end),
    // The same elements are kept for rows that did not change.
    show(wanted, scale) {
      const focused = list.contains(document.activeElement);
      rows = wanted;
      half = scale;
      const room = Math.max(first, Math.min(shown, first + more));
      shown = 0;
      fill(list);
      grow(room);
      markPresent();
      if (focused) this.focus();
    },
    focus: () => list.querySelector('a.name[tabindex="0"]')?.focus(),
    // By so many rows.
    move(by) {
      const at = rows.findIndex((row) => row.sample === present);
      const to = Math.min(Math.max(list.contains(document.activeElement) ? at + by : Math.max(at, 0), 0), rows.length - 1);
      if (to < 0) return;
      if (to >= shown) grow(to - shown + more);
      present = rows[to].sample;
      markPresent();
      this.focus();
    },
    choosePresent: () => list.querySelector('input[tabindex="0"]')?.click(),
    clearChosen() {
      chosen.clear();
      for (const tick of list.querySelectorAll('input:checked')) tick.checked = false;
      for (const [sample, kept] of made) if (!list.contains(kept.element)) made.delete(sample);
      onchoose([]);
    },
    forget(gone) { // samples that are no more
      for (const sample of gone) if (chosen.delete(sample)) onchoose([...chosen.values()]);
    },
  };
}
