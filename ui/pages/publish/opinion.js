// The summary as it is composed, and the tester's own words beside it: an opinion, and called one wherever it stands.
import { give } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { signed } from '../../core/numbers.js';
import { draftOf } from '../../core/paper_editor.js';
import { button, faultBox, field } from '../../core/parts.js';
import { done } from '../../core/undo.js';

const limit = 4000; // characters: a summary, not a report

const put = (sample, words) => give('PUT', `/api/samples/${sample}/papers/summary`, words);

// An empty one takes back what stood there.
async function keep(sample, words, before) {
  await put(sample, words);
  done(words === '' ? 'Your own words are taken back.' : 'Your own words are kept, as an opinion.', () => put(sample, before));
}

// `show({summary, opinion})` follows the server, but for words that are just being written.
export function opinionPart(place, { sample, operator }) {
  const composed = h('p', { class: 'composed' });
  const own = h('div', {});
  fill(place, composed, own);
  if (!operator) return { show({ summary, opinion }) { fill(composed, signed(summary)); fill(own, opinion ? h('blockquote', {}, opinion) : null); } };

  const draft = draftOf(`summary.${sample}`);
  const answer = h('div', { 'aria-live': 'polite' });
  const area = h('textarea', { rows: 4, maxlength: limit, spellcheck: 'true' });
  const save = h('button', { class: 'main', disabled: true }, 'Keep as an opinion');
  const back = button('Take it back', () => send(''));
  let kept = '';
  let known = false;
  const written = () => area.value.trim();
  const changed = () => {
    save.disabled = written() === kept || written() === '';
    back.disabled = kept === '';
  };

  async function send(words) {
    try {
      await keep(sample, words, kept);
      draft.forget();
      area.value = kept = words;
      fill(answer);
    } catch (fault) {
      fill(answer, faultBox(fault));
    }
    changed();
  }
  area.addEventListener('input', () => { if (written() === kept) draft.forget(); else draft.keep(area.value); changed(); });
  fill(own, h('form', { class: 'own', 'aria-label': 'Your own summary', onsubmit: (event) => { event.preventDefault(); send(written()); } },
    field('In your own words', area, 'Sheet and page show it beside the composed one, as the tester’s opinion. No verdict changes.'),
    answer, h('p', { class: 'actions' }, save, back)));

  return {
    show({ summary, opinion }) {
      fill(composed, signed(summary));
      const untouched = written() === kept;
      kept = opinion ?? '';
      if (!known) area.value = draft.text() ?? kept;
      else if (untouched) area.value = kept;
      known = true;
      changed();
    },
  };
}
