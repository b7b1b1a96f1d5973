// What stretch of the run is shown, and what the server gives of it: summaries or, close up, the readings themselves.
// One question is under way at a time; the latest view is asked for next. Old data stay until new ones are there.
import { get } from '../../core/ask.js';

const margin = 0.25; // asked for beyond either edge, so that a hand that moves finds something there

export function makeView(run, points, signal) {
  const view = { run, x: 'time', from: null, to: null, full: null, sign: 0, data: null, test: null };
  const listeners = { window: new Set(), data: new Set(), fault: new Set() };
  const tell = (what, news) => { for (const listener of listeners[what]) listener(news); };
  let asking = false;
  let stale = false;
  let began = 0;

  function address() {
    const query = new URLSearchParams({ points: String(Math.round(points() * (view.from === null ? 1 : 1 + 2 * margin))) });
    if (view.sign !== 0) query.set('sign', String(view.sign));
    if (view.x === 'charge') query.set('x', 'charge');
    if (view.from !== null) {
      const more = margin * (view.to - view.from);
      query.set('from', String(view.from - more));
      query.set('to', String(view.to + more));
    }
    return `/api/runs/${run}/chart?${query}`;
  }

  async function ask() {
    if (asking) { stale = true; return; }
    asking = true;
    do {
      stale = false;
      try {
        const whole = view.from === null;
        const x = view.x;
        const data = await get(address(), signal);
        if (x === view.x) take(data, whole);
      } catch (fault) {
        if (fault.name === 'AbortError') return;
        tell('fault', fault);
      }
    } while (stale && !signal.aborted);
    asking = false;
  }

  const places = (data) => data.groups.map((group) => (data.along === 'charge' ? group.ah : group.t)).filter((list) => list?.length > 0);
  // By eye the points stand by themselves, and need room to be seen whole.
  function extent(data) {
    if (!data.by_eye) return [data.first, data.last];
    const [from, to] = [Math.min(...places(data).map((list) => list[0])), Math.max(...places(data).map((list) => list.at(-1)))];
    return [from - 0.015 * (to - from), to + 0.015 * (to - from)];
  }

  function take(data, whole) {
    view.data = data;
    view.sign = data.sign;
    if (whole || view.full === null) {
      if (places(data).length > 0) {
        view.full = extent(data);
        if (view.full[0] === view.full[1]) view.full = [view.full[0] - 1, view.full[1] + 1];
      }
    }
    tell('data', data);
    if (view.next && view.full) {
      const next = view.next;
      view.next = null;
      set(...next);
    }
    if (began > 0) performance.measure(whole ? 'run opened' : 'zoom step', { start: began });
    began = 0;
  }

  // Not closer than a few readings, not wider than the run.
  function set(from, to) {
    if (view.full === null) { // until the points along another x have come
      view.next = [from, to];
      return;
    }
    const [least, most] = view.full;
    let width = Math.min(Math.max(to - from, (most - least) * 1e-7), most - least);
    if (!Number.isFinite(width)) return;
    let start = Math.max(least, Math.min(from, most - width));
    began = performance.now();
    if (width >= (most - least) * 0.9999) {
      view.from = view.to = null;
    } else {
      view.from = start;
      view.to = start + width;
    }
    tell('window');
    ask();
  }

  view.window = () => (view.from === null ? view.full : [view.from, view.to]);
  view.set = set;
  view.zoom = (factor, at) => {
    const [from, to] = view.window() ?? [0, 1];
    const middle = at ?? (from + to) / 2;
    set(middle - (middle - from) * factor, middle + (to - middle) * factor);
  };
  view.pan = (share) => {
    const [from, to] = view.window() ?? [0, 1];
    set(from + share * (to - from), to + share * (to - from));
  };
  view.all = () => { if (view.full !== null) set(...view.full); };
  view.along = (x) => {
    if (x === view.x) return;
    view.x = x;
    view.from = view.to = view.full = null;
    began = performance.now();
    ask();
  };
  view.again = () => { began = 0; ask(); };
  view.open = () => { began = 0; return ask(); };
  view.on = (what, listener) => listeners[what].add(listener);
  return view;
}

// The place of an instant along x, and the instant of a place: by the chart's own points, straight between.
function between(from, to, value) {
  if (from.length === 0) return null;
  let low = 0;
  let high = from.length - 1;
  if (value <= from[low]) return to[low];
  if (value >= from[high]) return to[high];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (from[middle] <= value) low = middle; else high = middle;
  }
  const width = from[high] - from[low];
  return width > 0 ? to[low] + ((value - from[low]) / width) * (to[high] - to[low]) : to[low];
}

const first = (data) => data.groups.find((group) => group.t.length > 0);
export function placeOf(view, t) {
  if (view.data === null || view.data.along !== 'charge') return t;
  const group = first(view.data);
  return group ? between(group.t, group.ah, t) : null;
}
export function instantOf(view, x) {
  if (view.data === null || view.data.along !== 'charge') return x;
  const group = first(view.data);
  return group ? between(group.ah, group.t, x) : null;
}
