import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Sample');
  fill(main, h('h1', {}, 'Sample'));
}
