// What is wished of a plan: which papers, which start.

// What the server is asked: null means none, undefined as it was saved.
export const queryOf = (wish) => ({
  rig: wish.rig === null ? 'none' : wish.rig, loads: wish.loads === null ? 'none' : wish.loads,
  start: wish.start === '' ? 'none' : wish.start,
});
export const wishOf = (query) => ({
  rig: query.get('rig') === 'none' ? null : Number(query.get('rig')) || undefined,
  loads: query.get('loads') === 'none' ? null : Number(query.get('loads')) || undefined,
  start: query.get('start') === 'none' ? '' : query.get('start') ?? undefined,
});

export function startOf(plan) {
  if (plan.start_clock_s === null) return '';
  const minutes = Math.round(plan.start_clock_s / 60);
  return `${String(Math.floor(minutes / 60)).padStart(2, '0')}:${String(minutes % 60).padStart(2, '0')}`;
}
