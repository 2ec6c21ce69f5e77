// From a tree to living elements, and the few looks at the page that every screen takes. Texts become text nodes:
// nothing is ever read as markup.

import type { Tree } from '../tree.ts';

const svgSpace = 'http://www.w3.org/2000/svg';

export function toNode(tree: Tree, space?: string): Node {
  if (typeof tree === 'string') return document.createTextNode(tree);
  const own = tree.tag === 'svg' ? svgSpace : space;
  const element: Element =
    own === undefined ? document.createElement(tree.tag) : document.createElementNS(own, tree.tag);
  for (const [name, value] of Object.entries(tree.attributes)) {
    if (value === undefined || value === false) continue;
    element.setAttribute(name, value === true ? '' : String(value));
  }
  for (const child of tree.children) element.append(toNode(child, own));
  if (tree.tag === 'textarea') (element as HTMLTextAreaElement).value = String(tree.attributes.value ?? '');
  for (const [name, handler] of Object.entries(tree.on)) element.addEventListener(name, handler);
  return element;
}

export function byId(id: string): HTMLElement {
  const found = document.getElementById(id);
  if (found === null) throw new Error(`the page has no ${id}`);
  return found;
}

export function replaceContent(of: Element, trees: readonly Tree[]): void {
  of.replaceChildren(...trees.map((tree) => toNode(tree)));
}

export function setText(of: Element | null, text: string): void {
  if (of !== null && of.textContent !== text) of.textContent = text;
}

/** The heading that a reader begins with; the page itself scrolls to its top. */
export function focusHeading(within: Element): void {
  const heading = within.querySelector<HTMLElement>('h2');
  window.scrollTo(0, 0);
  heading?.focus({ preventScroll: true });
}

export interface TypedText {
  readonly id: string;
  readonly value: string;
  readonly checked: boolean;
}

type Input = HTMLInputElement | HTMLTextAreaElement;

/** What stands in the fields, so that a screen shown anew does not lose it. */
export function typedTexts(within: Element): TypedText[] {
  return Array.from(within.querySelectorAll<Input>('input, textarea'), (input) => {
    return { id: input.id, value: input.value, checked: 'checked' in input && input.checked };
  });
}

export function putBack(texts: readonly TypedText[]): void {
  for (const { id, value, checked } of texts) {
    const input = document.getElementById(id) as Input | null;
    if (input === null) continue;
    if ('checked' in input && (input.type === 'radio' || input.type === 'checkbox')) input.checked = checked;
    else input.value = value;
  }
}
