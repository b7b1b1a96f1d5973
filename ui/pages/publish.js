import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Publish');
  fill(main, h('h1', {}, 'Publish'));
}
