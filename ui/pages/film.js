import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Film');
  fill(main, h('h1', {}, 'Film'));
}
