import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Compare');
  fill(main, h('h1', {}, 'Compare'));
}
