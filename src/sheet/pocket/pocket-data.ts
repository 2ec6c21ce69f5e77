// What a pocket page carries for its script: the sheet's view, the procedure that the walk moves along, and the key
// of its outcomes. All texts are made fit to print here, once. Whoever has the page can read all of it.

import type { Product, Release } from '../../manifest/schema.ts';
import type { OutcomeSheet } from '../outcome/outcome.ts';
import { paragraph } from '../paragraph.ts';
import type { SheetInput, SheetView } from '../sheet-view.ts';

export interface PocketData {
  readonly format: 1;
  readonly view: SheetView;
  readonly product: Product;
  readonly release: Release;
  readonly outcomes: OutcomeSheet;
}

export function pocketData(
  view: SheetView,
  { product, release }: Pick<SheetInput, 'product' | 'release'>,
  outcomes: OutcomeSheet,
): PocketData {
  return { format: 1, view, product: printableTexts(product), release: printableTexts(release), outcomes };
}

/** Every text within, each on one line and without control characters; names that are ids are so already. */
function printableTexts<T>(value: T): T {
  if (typeof value === 'string') return paragraph(value) as T;
  if (Array.isArray(value)) return value.map(printableTexts) as T;
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([name, one]) => [name, printableTexts(one)])) as T;
}

/** As it stands within a script element: no `<`, so that nothing in it can end the element. */
export function encodePocketData(data: PocketData): string {
  return JSON.stringify(data).replace(/[<>&\u2028\u2029]/g, (character) => {
    return `\\u${character.charCodeAt(0).toString(16).padStart(4, '0')}`;
  });
}
