import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Replies');
  fill(main, h('h1', {}, 'Replies'));
}
