// Numbers as people read them. A measured quantity carries its own words from the server (`words`: "61.1 ± 0.9 Ah"),
// rounded by its uncertainty there and nowhere else; here only the decimal sign and the temperature follow the reader.
import { setting } from './settings.js';

const minus = '\u2212';

// A printed number in the reader's decimal sign. For numbers only, not for prose or names.
export function signed(words) {
  const text = String(words).replace(/^-|(?<=[\s(])-(?=\d)/g, minus);
  return setting('decimal') === 'comma' ? text.replace(/(\d)\.(\d)/g, '$1,$2') : text;
}

// A plain number with so many digits behind the sign; "–" when it is not known.
export function fixed(value, digits, unit = '') {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  return signed(value.toFixed(digits)) + (unit ? `\u00a0${unit}` : '');
}

// To so many significant digits.
export function significant(value, digits, unit = '') {
  if (value === null || value === undefined || !Number.isFinite(value)) return '–';
  const behind = value === 0 ? 0 : Math.max(0, digits - 1 - Math.floor(Math.log10(Math.abs(value))));
  return fixed(value, Math.min(behind, 12), unit);
}

// A measured quantity of the server, or what is missing for it.
export function measured(measure) {
  if (!measure) return '–';
  if (measure.value === null) return 'cannot tell';
  return measure.words !== undefined ? signed(measure.words) : significant(measure.value, 4);
}

export function temperature(degc, digits = 1) {
  if (degc === null || degc === undefined) return '–';
  return setting('temperature') === '°F' ? fixed(degc * 1.8 + 32, digits, '°F') : fixed(degc, digits, '°C');
}

// 4:02:20, as tests are timed.
export function clockTime(seconds) {
  if (seconds === null || seconds === undefined || !Number.isFinite(seconds)) return '–';
  const whole = Math.round(Math.abs(seconds));
  const pad = (n) => String(n).padStart(2, '0');
  return `${seconds < 0 ? minus : ''}${Math.floor(whole / 3600)}:${pad(Math.floor(whole / 60) % 60)}:${pad(whole % 60)}`;
}

// An instant of the server ("2026-11-25T14:05:09Z") in the reader's own zone.
export function instant(iso) {
  if (!iso) return '–';
  return new Date(iso).toLocaleString(undefined, { dateStyle: 'medium', timeStyle: 'short' });
}
