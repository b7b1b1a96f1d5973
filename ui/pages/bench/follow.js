// A recording as the server has it, kept up by its news. A phone that slept reads it again and misses nothing.
import { get } from '../../core/ask.js';
import { listen } from '../../core/live.js';

// on: {state(state), said(one), fresh(state), gone()}: `fresh` when everything was read anew, `gone` when the server knows
// of no such recording.
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
  const readOrGone = async () => {
    try {
      await read();
    } catch (fault) {
      if (fault.status !== 404) throw fault;
      state = null;
      await on.gone?.(); // the server is another one by now, or has forgotten it
    }
  };
  const readAgain = () => { if (!signal.aborted) readOrGone().catch(() => setTimeout(readAgain, 2000)); };
  listen('live', (news) => { if (news.recording === run && state !== null) take(news); }, signal);
  for (const topic of ['call', 'said'])
    listen(topic, (news) => { if (news.recording === run) on.said?.(news); }, signal);
  listen('reload', readAgain, signal);
  await readOrGone();
}

const silent_ms = 3500; // a recorder that works tells of itself each second

// The state as it may be shown now: a recorder that is not heard any more shows nothing, and its clock stands.
export function asOfNow(state) {
  const silent = performance.now() - state.heard_ms;
  if (state.state !== 'recording' || silent < silent_ms) return state;
  return { ...state, state: 'silent', silent_s: silent / 1000, voltage_v: null, current_a: null, power_w: null };
}

// Where the run's clock stands by now: it goes on between two pieces of news.
export function elapsedNow(state) {
  if (state.state !== 'recording') return state.t_s;
  return state.t_s + (state.rate * (performance.now() - state.heard_ms)) / 1000;
}
