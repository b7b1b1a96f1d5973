// What each device chooses for itself, kept in this browser alone.

const choices = {
  theme: ['system', 'light', 'dark'],
  decimal: ['point', 'comma'],
  temperature: ['°C', '°F'],
  sound: ['on', 'off'],
};
const names = { theme: 'Light or dark', decimal: 'Decimal sign', temperature: 'Temperature', sound: 'Sound of calls' };
const changed = new Set();

export function setting(name) {
  const kept = localStorage.getItem(`rundown.${name}`);
  return choices[name].includes(kept) ? kept : choices[name][0];
}

export function choose(name, value) {
  localStorage.setItem(`rundown.${name}`, value);
  apply();
  for (const listener of changed) listener(name);
}

export const settingChoices = () => Object.entries(choices).map(([name, values]) => ({ name, title: names[name], values }));

export function onSetting(listener, signal) {
  changed.add(listener);
  signal?.addEventListener('abort', () => changed.delete(listener));
}

// Light and dark by the reader's choice: the colours themselves are those of the figures.
export function apply() {
  const theme = setting('theme');
  if (theme === 'system') delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
}
