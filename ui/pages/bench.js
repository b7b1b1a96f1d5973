import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Bench');
  fill(main, h('h1', {}, 'Bench'));
}
