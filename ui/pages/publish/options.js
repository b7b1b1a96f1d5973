// What whoever publishes chooses: paper, decimal sign, parts, runs. Kept in this browser; the server does the rest.
import { h } from '../../core/dom.js';
import { field } from '../../core/parts.js';
import { setting } from '../../core/settings.js';

const names = {
  budgets: 'What the uncertainty is made of', conditions: 'Conditions beside the standards’', notices: 'Notices', cautions: 'Cautions',
  recompute: 'How to recompute', pictures: 'Pictures',
};
const key = 'rundown.publish';

function kept() {
  try {
    return JSON.parse(localStorage.getItem(key)) ?? {};
  } catch {
    return {};
  }
}

// {paper, decimal, without: Set, hide: Set, query()}
export function startChoices(offer) {
  const before = kept();
  const chosen = {
    paper: before.paper === 'letter' ? 'letter' : 'a4',
    decimal: ['point', 'comma'].includes(before.decimal) ? before.decimal : setting('decimal'),
    without: new Set((before.without ?? []).filter((part) => offer.parts.includes(part))),
    hide: new Set(),
    query: () => ({ paper: chosen.paper, decimal: chosen.decimal, without: [...chosen.without].join(','), hide: [...chosen.hide].join(',') }),
    keep: () => localStorage.setItem(key, JSON.stringify({ paper: chosen.paper, decimal: chosen.decimal, without: [...chosen.without] })),
  };
  return chosen;
}

const tick = (words, checked, onchange) => h('label', { class: 'tick' }, h('input', { type: 'checkbox', checked, onchange: (event) => onchange(event.target.checked) }), words);

// A member of the set is what is left out, a tick is what is there.
const part = (words, set, member, changed) => tick(words, !set.has(member), (there) => {
  if (there) set.delete(member);
  else set.add(member);
  changed();
});

const choice = (title, value, options, onchange) => field(title, h('select', { onchange: (event) => onchange(event.target.value) },
  options.map(([word, words]) => h('option', { value: word, selected: word === value }, words))));

export function choicesForm(offer, chosen, draw) {
  const changed = () => { chosen.keep(); draw(); };
  const runs = offer.runs.filter((run) => run.run > 0);
  return h('form', { class: 'choices', 'aria-label': 'What is published', onsubmit: (event) => event.preventDefault() },
    choice('Paper', chosen.paper, [['a4', 'A4'], ['letter', 'Letter']], (word) => { chosen.paper = word; changed(); }),
    choice('Numbers', chosen.decimal, [['point', '61.1 Ah'], ['comma', '61,1 Ah']], (word) => { chosen.decimal = word; changed(); }),
    h('fieldset', {}, h('legend', {}, 'With'), offer.parts.map((word) => part(names[word] ?? word, chosen.without, word, changed))),
    runs.length > 1 ? h('fieldset', {}, h('legend', {}, 'Runs told in full'), runs.map((run) => part(`Run ${run.run}: ${run.what.toLowerCase()}`, chosen.hide, run.run, changed))) : null,
    h('p', { class: 'soft' }, 'What is left out is named where it would stand. No verdict changes.'));
}
