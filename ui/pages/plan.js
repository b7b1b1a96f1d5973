import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Plan');
  fill(main, h('h1', {}, 'Plan'));
}
