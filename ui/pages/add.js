import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Add');
  fill(main, h('h1', {}, 'Add'));
}
