import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Pair');
  fill(main, h('h1', {}, 'Pair'));
}
