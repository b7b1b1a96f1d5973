// A recording as the server has it, kept up by its news. A phone that slept reads it again and misses nothing.
import { get } from '../../core/ask.js';
import { listen } from '../../core/live.js';

// on: {state(state), said(one), fresh(state)}: `fresh` when everything was read anew.
export async function follow(run, on, signal) {
  let state = null;
  const take = (news) => {
    state = { ...state, ...news };
    state.heard_ms = performance.now();
    on.state(state);
  };
  const read = async () => {
    const all = await get(`/api/recordings/${run}`, signal);
    take(all);
    await on.fresh?.(state);
  };
  const readAgain = () => { if (!signal.aborted) read().catch(() => setTimeout(readAgain, 2000)); };
  listen('live', (news) => { if (news.recording === run && state !== null) take(news); }, signal);
  for (const topic of ['call', 'said'])
    listen(topic, (news) => { if (news.recording === run) on.said?.(news); }, signal);
  listen('reload', readAgain, signal);
  await read();
}

// Where the run's clock stands by now: it goes on between two pieces of news.
export function elapsedNow(state) {
  if (state.state !== 'recording') return state.t_s;
  return state.t_s + (state.rate * (performance.now() - state.heard_ms)) / 1000;
}
