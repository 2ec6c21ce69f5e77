// A piece of a page as a plain value: written out as HTML by the laptop, and built into a living page by the phone's
// script. Every text and every attribute is escaped; nothing from a manifest is ever taken as markup.

import { htmlText } from '../../words/html-text.ts';

export type Handler = (event: unknown) => void;

export interface TreeElement {
  readonly tag: string;
  /** true: present without a value; false and undefined: absent. */
  readonly attributes: Readonly<Record<string, string | number | boolean | undefined>>;
  readonly children: readonly Tree[];
  /** Only a living page has these. */
  readonly on: Readonly<Record<string, Handler>>;
}

export type Tree = TreeElement | string;
type Child = Tree | null | readonly (Tree | null)[];
type Attributes = TreeElement['attributes'];

/** `el('p', { class: 'why' }, 'Because')`; null children are left out. */
export function el(tag: string, attributes: Attributes = {}, ...children: readonly Child[]): TreeElement {
  const flat = children.flat().filter((child): child is Tree => child !== null);
  return { tag, attributes, children: flat, on: {} };
}

export function withHandlers(element: TreeElement, on: TreeElement['on']): TreeElement {
  return { ...element, on: { ...element.on, ...on } };
}

/** A sheet never cuts a text; its texts are bounded where they come in. */
const longest = 100_000;
const empty = new Set(['br', 'hr', 'input', 'meta', 'rect', 'path', 'circle']);

export function renderTree(tree: Tree): string {
  if (typeof tree === 'string') return htmlText(tree, longest);
  const { tag, attributes, children } = tree;
  const given = Object.entries(attributes).flatMap(([name, value]) => {
    if (value === undefined || value === false) return [];
    return value === true ? [` ${name}`] : [` ${name}="${htmlText(String(value), longest)}"`];
  });
  const open = `<${tag}${given.join('')}>`;
  if (empty.has(tag)) return tag === 'rect' || tag === 'path' || tag === 'circle' ? `${open}</${tag}>` : open;
  return `${open}${children.map(renderTree).join('')}</${tag}>`;
}

/** All text of it, for tests and for those who hear it. */
export function textOf(tree: Tree): string {
  return typeof tree === 'string' ? tree : tree.children.map(textOf).join(' ');
}
