// Lines on their way to the recorder, each with the instant of its first key. What cannot be sent now (the network is
// away) stays here, over a reload too, and is sent again with its own instant.
import { post } from '../../core/ask.js';

const again_ms = 2000;
const longest_ms = 590000; // the server takes lines up to ten minutes old

export function outbox(run, { stored, waiting, refused }, signal) {
  const place = `rundown.outbox.${run}`;
  let lines = JSON.parse(localStorage.getItem(place) ?? '[]');
  let busy = false;

  const keep = () => {
    if (lines.length > 0) localStorage.setItem(place, JSON.stringify(lines));
    else localStorage.removeItem(place);
    waiting(lines);
  };
  // True when the head of the line has been dealt with.
  const sendFirst = async () => {
    const { line, pressed_ms } = lines[0];
    const ago_ms = Math.max(Date.now() - pressed_ms, 0);
    if (ago_ms > longest_ms) {
      refused({ message: `“${line}” waited for more than ten minutes`, remedy: 'its instant is lost; put it as a mark, with its time in words' }, line, null);
      return true;
    }
    try {
      stored(await post(`/api/recordings/${run}/say`, { line, ago_ms }));
    } catch (fault) {
      if (![400, 409, 413, 422].includes(fault.status)) return false; // only the line itself can be refused: else it waits
      refused(fault, line, pressed_ms);
    }
    return true;
  };
  const send = async () => {
    if (busy || signal.aborted) return;
    busy = true;
    let through = true;
    while (lines.length > 0 && through) {
      through = await sendFirst();
      if (through) lines = lines.slice(1);
      keep();
    }
    busy = false;
    if (!through) setTimeout(send, again_ms);
  };
  const put = (line, pressed_ms) => {
    lines = lines.concat({ line, pressed_ms });
    keep();
    send();
  };
  keep();
  send();
  return put;
}
