// In which order samples stand, and which of them: by words and by state.

const number = (value) => (Number.isFinite(value) ? value : -Infinity);
const found = (row, key) => number(row.digest?.found?.[key]?.value);
const counted = (row, verdict) => row.digest?.verdicts?.[verdict] ?? 0;
const claims = (row) => Object.values(row.digest?.verdicts ?? {}).reduce((sum, count) => sum + count, 0);

// What is greatest, latest or worst stands first; what is not known, last.
export const orders = [
  { word: 'name', name: 'Name', by: null },
  { word: 'tested', name: 'Last tested', by: (row) => number(Date.parse(row.last_run ?? '')) },
  { word: 'energy', name: 'Delivered Wh', by: (row) => found(row, 'energy_wh') },
  { word: 'price', name: 'Wh for the price', by: (row) => found(row, 'wh_per_price') },
  { word: 'mass', name: 'Wh for the mass', by: (row) => found(row, 'wh_per_kg') },
  { word: 'not-met', name: 'Claims not met', by: (row) => (claims(row) > 0 ? counted(row, 'not met') : -Infinity) },
  { word: 'met', name: 'Claims met', by: (row) => (claims(row) > 0 ? counted(row, 'met') : -Infinity) },
];

export const states = [
  { word: 'all', name: 'All samples', holds: () => true },
  { word: 'not-met', name: 'Some claim not met', holds: (row) => counted(row, 'not met') > 0 },
  { word: 'met', name: 'No claim not met', holds: (row) => claims(row) > 0 && counted(row, 'not met') === 0 },
  { word: 'open', name: 'Some claim too close to call', holds: (row) => counted(row, 'too close to call') > 0 },
  { word: 'thin', name: 'Thin evidence', holds: (row) => Boolean(row.digest?.thin) || Boolean(row.digest?.fault) || row.digest === null },
  { word: 'untested', name: 'Without a run', holds: (row) => row.run_count === 0 },
  { word: 'invented', name: 'Invented', holds: (row) => row.invented },
];

const folded = (text) => text.toLowerCase().replace(/[\s_-]+/g, ' ');
const words = new WeakMap();

function wordsOf(row) {
  if (!words.has(row)) {
    const { digest } = row;
    words.set(row, folded([row.name, digest?.description, digest?.tested, digest?.thin, digest?.chemistry, digest?.currency,
      ...Object.keys(digest?.verdicts ?? {})].filter(Boolean).join(' ')));
  }
  return words.get(row);
}

// rows: as the server lists them, by name. Every word that is typed must be found.
export function chosenRows(rows, { text, state, order }) {
  const wanted = folded(text).trim().split(' ').filter(Boolean);
  const { holds } = states.find((one) => one.word === state) ?? states[0];
  const { by } = orders.find((one) => one.word === order) ?? orders[0];
  const kept = rows.filter((row) => holds(row) && wanted.every((word) => wordsOf(row).includes(word)));
  if (by === null) return kept;
  const keys = new Map(kept.map((row) => [row, by(row)]));
  return kept.sort((a, b) => (keys.get(b) === keys.get(a) ? 0 : keys.get(b) - keys.get(a)));
}
