// A short sound for each call: one tone, or three for what must be heard across the room.
import { setting } from '../../core/settings.js';

let context = null;

function tone(at_s, hertz) {
  const swing = context.createOscillator();
  const loud = context.createGain();
  swing.frequency.value = hertz;
  loud.gain.setValueAtTime(0, at_s);
  loud.gain.linearRampToValueAtTime(0.25, at_s + 0.02);
  loud.gain.linearRampToValueAtTime(0, at_s + 0.22);
  swing.connect(loud).connect(context.destination);
  swing.start(at_s);
  swing.stop(at_s + 0.25);
}

export function sound(urgent) {
  if (setting('sound') !== 'on' || context?.state !== 'running') return;
  for (let k = 0; k < (urgent ? 3 : 1); k++) tone(context.currentTime + k * 0.3, urgent ? 880 : 587);
}

// A browser lets a page sound only after a key or a touch.
export function allowSound(signal) {
  const allow = () => {
    context ??= new AudioContext();
    context.resume();
  };
  for (const type of ['pointerdown', 'keydown']) document.addEventListener(type, allow, { signal });
}
