import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Shelf');
  fill(main, h('h1', {}, 'Shelf'));
}
