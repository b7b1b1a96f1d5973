// News from the server: one stream for the page, however many listen. The browser reconnects by itself and names the
// last event it has heard, as this does where it opens a stream anew; `reload` says that some were missed: read
// everything afresh. The server says `here` every ten seconds: a line that is silent for longer is dead, as after a
// phone has slept.

let source = null;
let last = ''; // id of what was heard last
const listeners = new Map(); // topic -> Set of functions
const states = new Set();
let asleep = false;
let heardAt = 0;
const retryMs = 3000; // after an answer that the browser takes as final: not paired any more, too many streams
const silentMs = 25000;

function mark(event) {
  last = event.lastEventId;
  heardAt = performance.now();
}

function hear(topic) {
  source.addEventListener(topic, (event) => {
    mark(event);
    const news = topic === 'reload' ? null : JSON.parse(event.data);
    for (const listener of [...(listeners.get(topic) ?? [])]) listener(news);
  });
}

function open() {
  source?.close();
  source = null;
  const topics = [...listeners.keys()].filter((topic) => topic !== 'reload');
  if (topics.length === 0 || asleep) return;
  const stream = new EventSource(`/api/events?${new URLSearchParams({ topics: topics.join(','), last })}`);
  source = stream;
  heardAt = performance.now();
  stream.addEventListener('here', mark);
  for (const topic of listeners.keys()) hear(topic);
  stream.onopen = () => tell(true);
  stream.onerror = () => {
    tell(false);
    if (stream.readyState === EventSource.CLOSED) setTimeout(() => { if (source === stream) open(); }, retryMs);
  };
}

function tell(connected) {
  for (const state of states) state(connected);
}

let due = false;
function openSoon() {
  if (due) return;
  due = true;
  queueMicrotask(() => { due = false; open(); });
}

// Calls `listener` with the data of each event of the topic ('book', 'live', 'call', 'task', 'reload') until the
// signal of the page is aborted.
export function listen(topic, listener, signal) {
  if (!listeners.has(topic)) {
    listeners.set(topic, new Set());
    openSoon();
  }
  listeners.get(topic).add(listener);
  signal?.addEventListener('abort', () => listeners.get(topic)?.delete(listener));
}

// Whether the stream stands, as it changes.
export function connection(state, signal) {
  states.add(state);
  signal?.addEventListener('abort', () => states.delete(state));
}

setInterval(() => { if (source !== null && performance.now() - heardAt > silentMs) open(); }, 5000);

// A browser opens few connections to a server, six as a rule, and each stream holds one. A page that is left, and may be
// kept for the way back, lets its go; so does one that nobody has looked at for a while, unless it follows a recording,
// whose calls are heard from behind too.
let sleeping = 0;
const sleepMs = 5000;

function sleep(now) {
  if (asleep === now) return;
  asleep = now;
  open();
}

addEventListener('pagehide', () => sleep(true));
addEventListener('pageshow', () => sleep(false));
document.addEventListener('visibilitychange', () => {
  clearTimeout(sleeping);
  if (!document.hidden) sleep(false);
  else if (!['live', 'said'].some((topic) => listeners.get(topic)?.size > 0)) sleeping = setTimeout(sleep, sleepMs, true);
});
