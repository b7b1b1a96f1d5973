// A new sample: its name is enough; its label is typed on its own page.
import { post } from '../../core/ask.js';
import { fill, h } from '../../core/dom.js';
import { faultBox, field, openDialog } from '../../core/parts.js';

export function newSample(go) {
  const name = h('input', { required: true, maxlength: 127, autocomplete: 'off' });
  const invented = h('input', { type: 'checkbox' });
  const answer = h('div', { 'aria-live': 'polite' });
  const submit = async (event) => {
    event.preventDefault();
    try {
      const { sample } = await post('/api/samples', { name: name.value.trim(), invented: invented.checked });
      dialog.close();
      await go(`/sample/${sample}#label`);
    } catch (fault) {
      fill(answer, faultBox(fault));
      name.focus();
    }
  };
  const dialog = openDialog('New sample', h('form', { onsubmit: submit },
    field('Name', name, 'One physical battery: what you call it at the bench, such as the number on its sticker.'),
    h('p', {}, h('label', {}, invented, 'Invented, for practice: marked as such everywhere')), answer,
    h('p', {}, 'Its label comes next: what is printed on it or promised with it.'),
    h('p', { class: 'actions' }, h('button', { class: 'main' }, 'Add it'))));
  name.focus();
}
