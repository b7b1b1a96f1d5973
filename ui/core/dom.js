// Elements from data. Strings become text, never markup.

// h('a', {href, class, 'aria-label', onclick, dataset: {…}, checked: true}, child, [children], null)
export function h(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes ?? {})) give(element, name, value);
  append(element, children);
  return element;
}

function give(element, name, value) {
  if (value === undefined || value === null || value === false) return;
  if (name.startsWith('on')) element.addEventListener(name.slice(2), value);
  else if (name === 'dataset') Object.assign(element.dataset, value);
  else if (name === 'style') Object.assign(element.style, value);
  else if (name === 'value' || name === 'checked' || name === 'selected' || name === 'indeterminate') element[name] = value;
  else element.setAttribute(name, value === true ? '' : value);
}

function append(element, children) {
  for (const child of children.flat(Infinity)) {
    if (child === null || child === undefined || child === false) continue;
    element.append(child instanceof Node ? child : String(child));
  }
}

// Replaces what the element holds.
export function fill(element, ...children) {
  element.replaceChildren();
  append(element, children);
  return element;
}

// Shapes: s('svg', {viewBox}, s('line', {x1, …}))
export function s(tag, attributes = {}, ...children) {
  const element = document.createElementNS('http://www.w3.org/2000/svg', tag);
  for (const [name, value] of Object.entries(attributes ?? {})) {
    if (name.startsWith('on')) element.addEventListener(name.slice(2), value);
    else if (value !== undefined && value !== null && value !== false) element.setAttribute(name, value);
  }
  append(element, children);
  return element;
}

// A figure that the server drew (text of an <svg>), as an element. The one place where markup is parsed; what is not
// an SVG element is refused.
export function figureOf(text) {
  const parsed = new DOMParser().parseFromString(text, 'image/svg+xml').documentElement;
  if (parsed.localName !== 'svg') throw new Error('this is no figure');
  return document.importNode(parsed, true);
}

let numbered = 0;
export const freshId = (word) => `${word}-${++numbered}`;
