import { fill, h } from '../core/dom.js';

export async function page({ main, title }) {
  title('Run');
  fill(main, h('h1', {}, 'Run'));
}
