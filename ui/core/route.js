// From an address to a page. A page is a module `pages/NAME.js` that exports
//   async function page({main, number, query, signal, go, title}) — it fills `main` and sets the title;
// `signal` is aborted when the page is left, and everything it began must end with it. `/ui/style/NAME.css` is loaded
// when the table says so.
import { fill, h } from './dom.js';
import { faultBox } from './parts.js';
import { drawHead } from './head.js';

const table = [
  { address: /^\/$/, page: 'shelf' },
  { address: /^\/compare$/, page: 'compare' },
  { address: /^\/sample\/(\d+)$/, page: 'sample' },
  { address: /^\/run\/(\d+)$/, page: 'run' },
  { address: /^\/bench$/, page: 'bench' },
  { address: /^\/film$/, page: 'film' },
  { address: /^\/plan\/(\d+)$/, page: 'plan' },
  { address: /^\/rig$/, page: 'rig' },
  { address: /^\/replies\/(\d+)$/, page: 'replies' },
  { address: /^\/publish\/(\d+)$/, page: 'publish' },
  { address: /^\/opened\/(\d+)$/, page: 'opened' },
  { address: /^\/add$/, page: 'add' },
  { address: /^\/guides$/, page: 'guides' },
  { address: /^\/calculate\/(wire|thermistor|cellcode|casesize)$/, page: 'calculate' },
  { address: /^\/pair$/, page: 'pair' },
];

let leaving = new AbortController();
let shown = '';

// `query`: an object; what is undefined or '' is left out.
export function addressOf(path, query = {}) {
  const parts = new URLSearchParams(Object.entries(query).filter(([, value]) => value !== undefined && value !== ''));
  return parts.size > 0 ? `${path}?${parts}` : path;
}

export function go(address, { replace = false } = {}) {
  history[replace ? 'replaceState' : 'pushState'](null, '', address);
  return open();
}

// Keeps the address in step with what is shown without drawing the page again.
export function note(address) {
  history.replaceState(null, '', address);
  shown = location.pathname + location.search;
}

const styles = new Set();
// Loads a style once; a page gets its own without asking.
export function style(name) {
  if (styles.has(name)) return Promise.resolve();
  styles.add(name);
  return new Promise((resolve) => {
    document.head.append(h('link', { rel: 'stylesheet', href: `/ui/style/${name}.css`, onload: resolve, onerror: resolve, dataset: { of: name } }));
  });
}

function title(words) {
  document.title = words ? `${words} · Rundown` : 'Rundown';
}

async function draw(main, entry, number, signal) {
  const [module] = await Promise.all([import(`/ui/pages/${entry.page}.js`), style(entry.page)]);
  if (signal.aborted) return;
  for (const link of document.querySelectorAll('link[data-of]')) // a page's rules are for that page
    if (link.sheet) link.sheet.disabled = table.some((one) => one.page === link.dataset.of) && link.dataset.of !== entry.page;
  fill(main);
  await module.page({ main, number, query: new URLSearchParams(location.search), signal, go, title });
}

async function open() {
  leaving.abort();
  for (const dialog of document.querySelectorAll('dialog[open]')) dialog.close();
  leaving = new AbortController();
  const { signal } = leaving;
  const main = document.getElementById('main');
  const first = shown === '';
  shown = location.pathname + location.search;
  const entry = table.find((one) => one.address.test(location.pathname));
  document.documentElement.dataset.page = entry?.page ?? 'none';
  drawHead(entry?.page ?? '', signal);
  try {
    if (entry === undefined) throw new Error('There is no such page');
    await draw(main, entry, Number(entry.address.exec(location.pathname)[1] ?? 0), signal);
  } catch (fault) {
    if (signal.aborted || fault.name === 'AbortError') return;
    title('');
    fill(main, h('h1', {}, 'Rundown'), faultBox(fault), h('p', {}, h('a', { href: '/' }, 'To the shelf')));
  }
  if (!first) settle(main);
}

// A page that came by a link begins at its top, and so does who listens to it.
function settle(main) {
  if (location.hash && document.getElementById(location.hash.slice(1))) {
    document.getElementById(location.hash.slice(1)).scrollIntoView();
    return;
  }
  scrollTo(0, 0);
  main.focus({ preventScroll: true });
}

function follow(event) {
  const link = event.target.closest?.('a[href]');
  if (!link || event.defaultPrevented || event.button !== 0 || event.metaKey || event.ctrlKey || event.shiftKey) return;
  if (link.target || link.hasAttribute('download') || link.origin !== location.origin) return;
  if (link.pathname.startsWith('/api/') || link.pathname.startsWith('/ui/')) return;
  if (link.pathname + link.search === shown && link.hash) return; // a place on this page
  event.preventDefault();
  go(link.href);
}

export function startRouting() {
  document.addEventListener('click', follow);
  addEventListener('popstate', () => { if (location.pathname + location.search !== shown) open(); });
  return open();
}
