// Bench: begin a recording, follow it, end it.
import { get } from '../core/ask.js';
import { fill, h } from '../core/dom.js';
import { isOperator } from '../core/head.js';
import { clockTime } from '../core/numbers.js';
import { emptyState } from '../core/parts.js';
import { note } from '../core/route.js';
import { leftOpen } from './bench/left_open.js';
import { startForm } from './bench/start.js';
import { watchRecording } from './bench/watch.js';

const runs = (one) => one.state === 'recording' || one.state === 'ending';

function runningList(recordings) {
  if (recordings.length === 0) return null;
  return h('section', {}, h('h2', {}, 'Recordings'),
    h('ul', { class: 'recordings' }, recordings.map((one) => h('li', {},
      h('a', { href: `/bench?run=${one.recording}` }, one.sample_name), ` ${one.kind}, run ${one.recording}, ${clockTime(one.t_s)}`,
      one.invented ? ' · invented data' : '', runs(one) ? '' : ` · ${one.state}`))));
}

export async function page({ main, query, signal, go, title }) {
  const wanted = Number(query.get('run') ?? 0);
  if (wanted > 0) return watchRecording({ main, run: wanted, signal, go, title });
  const bench = await get('/api/bench', signal);
  const running = bench.recordings.filter(runs);
  if (running.length === 1 && !query.has('new') && !query.has('sample')) {
    note(`/bench?run=${running[0].recording}`);
    return watchRecording({ main, run: running[0].recording, signal, go, title });
  }
  title('Bench');
  const operator = await isOperator();
  fill(main, h('h1', {}, 'Bench'),
    runningList(bench.recordings),
    leftOpen(bench.left_open, operator, go),
    operator ? startForm(bench, query, signal, go)
      : bench.recordings.length === 0 ? emptyState('Nothing is being recorded. An operator can begin a recording; this page then shows it.') : null,
    h('p', { class: 'soft' }, h('a', { href: '/film' }, 'Figures alone, to lay over a film')));
}
