import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Rig');
  fill(main, h('h1', {}, 'Rig'));
}
