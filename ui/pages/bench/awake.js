// Keeps the screen awake while a recording is watched, where the browser lets us; else says what helps.
import { h } from '../../core/dom.js';

export function keepAwake(signal) {
  if (!('wakeLock' in navigator)) return false;
  let lock = null;
  const ask = async () => {
    if (document.visibilityState !== 'visible' || signal.aborted) return;
    try {
      lock = await navigator.wakeLock.request('screen');
      if (signal.aborted) lock.release();
    } catch { /* a low battery, or the system's own choice */ }
  };
  document.addEventListener('visibilitychange', ask, { signal });
  signal.addEventListener('abort', () => lock?.release());
  ask();
  return true;
}

export const sleepNote = () => h('details', { class: 'no-print' }, h('summary', {}, 'This screen may fall asleep'),
  h('p', {}, 'A browser keeps a screen awake only for pages of this device itself, or over HTTPS; this one came over plain HTTP. Set the device’s own screen timeout to its longest, or watch on the bench computer itself, by the address that begins with 127.0.0.1. The recording goes on either way, and this page catches up when it wakes.'));
