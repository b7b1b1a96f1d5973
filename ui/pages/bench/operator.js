// What an operator of a recording can do: marks, readings by eye, the end.
import { post } from '../../core/ask.js';
import { h } from '../../core/dom.js';
import { keys } from '../../core/keys.js';
import { confirmLoss, faultWords } from '../../core/parts.js';
import { say } from '../../core/undo.js';
import { entry } from './entry.js';
import { outbox } from './outbox.js';

const marks = [
  { key: 'm', name: 'Put a mark', words: ['mark'] },
  { key: 'b', name: 'Mark: burst on, off', words: ['burst on', 'burst off'] },
  { key: 'l', name: 'Mark: load on, off', words: ['load on', 'load off'] },
  { key: 'h', name: 'Mark: sensor heated, left alone', words: ['sensor heated', 'sensor left alone'] },
];

const capital = (words) => words[0].toUpperCase() + words.slice(1);

// A button says what its next press marks.
function markButtons(put) {
  return marks.map((mark) => {
    const name = h('span');
    const face = h('button', { type: 'button' }, name, ' ', h('kbd', {}, mark.key.toUpperCase()));
    let on = false;
    const draw = () => { name.textContent = capital(mark.words[on ? 1 : 0]); };
    const press = () => {
      put(mark.words[on ? 1 : 0], Date.now());
      on = mark.words.length > 1 && !on;
      draw();
    };
    const stand = (all) => {
      const last = all.findLast((one) => one.said === 'mark' && !one.taken_back && mark.words.includes(one.text));
      on = mark.words.length > 1 && last?.text === mark.words[0];
      draw();
    };
    draw();
    face.addEventListener('click', press);
    return { ...mark, face, press, stand };
  });
}

async function endIt(run) {
  const sure = await confirmLoss('End the recording?', `Run ${run} is then closed and assessed. It cannot go on afterwards.`, 'End it');
  if (!sure) return;
  try {
    await post(`/api/recordings/${run}/end`);
  } catch (fault) {
    say(faultWords(fault));
  }
}

export function operatorParts(run, said, signal) {
  const hand = entry((line, pressed_ms) => { hand.clear(); put(line, pressed_ms); });
  const put = outbox(run, { stored: said.stored, waiting: hand.waiting, refused: hand.refused }, signal);
  const buttons = markButtons(put);
  keys([...buttons.map(({ key, name, press }) => ({ key, name, does: press })),
    { key: 'r', name: 'Readings by eye', does: hand.focus },
    { key: 'w', name: 'A mark in words', does: hand.focusLine },
    { key: 'u', name: 'Take back the last line', does: said.takeBackLast },
    { key: 'e', name: 'End the recording', does: () => endIt(run) }], signal);
  const row = h('div', { class: 'actions marks', role: 'group', 'aria-label': 'Marks' }, buttons.map(({ face }) => face),
    h('button', { type: 'button', class: 'loss end', onclick: () => endIt(run) }, 'End the recording ', h('kbd', {}, 'E')));
  return {
    elements: [row, hand.element],
    focus: hand.focus,
    stand: (all) => buttons.forEach((one) => one.stand(all)), // what was marked last says how things stand, whoever pressed
    running: (yes) => { row.hidden = !yes; hand.element.hidden = !yes; },
  };
}
