// The sheet as text: pages for a printer that takes plain text, or one long run for a screen. Fixed-width, plain
// ASCII of our own, legible without colour. A step, a light pattern and a unit's row each stand on one page.

import { columnWidth, fold } from './fold.ts';
import { languages } from './language.ts';
import { type Block, layOut, linesPerPage } from './pages.ts';
import type { SheetView } from './sheet-view.ts';
import { sheetColumns, type TextForm } from './text-form.ts';
import {
  bringBlocks,
  cautionBlocks,
  headBlock,
  rulesBlocks,
  sourceBlocks,
  timeBlocks,
  unitsBlocks,
} from './text-front.ts';
import { lightsBlocks } from './text-lights.ts';
import { failureBlocks, resultsBlocks } from './text-results.ts';
import { stepsBlocks } from './text-steps.ts';

export interface SheetTextOptions {
  readonly width?: number;
  readonly pageLines?: number;
}

function blocksOf(form: TextForm): Block[] {
  return [
    headBlock(form),
    ...cautionBlocks(form),
    ...sourceBlocks(form),
    ...timeBlocks(form),
    ...bringBlocks(form),
    ...unitsBlocks(form),
    ...rulesBlocks(form),
    ...stepsBlocks(form),
    ...lightsBlocks(form),
    ...failureBlocks(form),
    ...resultsBlocks(form),
  ];
}

function footOf({ view, words, width }: TextForm): (page: number, pages: number) => string {
  return (page, pages) => {
    const left = words.head.foot(view.number, page, pages);
    const room = width - columnWidth(left) - 2;
    // The sheet's name only: the version must not stand on the page with the rows to fill in.
    const name = room < 8 ? '' : (fold(view.product.name, room)[0] ?? '');
    return `${left}${' '.repeat(Math.max(2, width - columnWidth(left) - columnWidth(name)))}${name}`.trimEnd();
  };
}

/** Pages of equal height, each with a foot and all but the first behind a form feed. */
export function renderSheetText(view: SheetView, options: SheetTextOptions = {}): string {
  return renderPages(view, options)
    .map((lines) => lines.join('\n'))
    .join('\n\f')
    .concat('\n');
}

/** The same pages one below the other, without the empty rest of each. */
export function renderSheetForScreen(view: SheetView, options: SheetTextOptions = {}): string {
  return renderPages(view, options)
    .map((lines) => {
      const foot = lines[lines.length - 1] ?? '';
      const body = lines.slice(0, -1);
      while (body.length > 0 && body[body.length - 1] === '') body.pop();
      return [...body, '', foot].join('\n');
    })
    .join('\n\n')
    .concat('\n');
}

function renderPages(view: SheetView, options: SheetTextOptions): string[][] {
  const form: TextForm = { view, words: languages[view.language], width: options.width ?? sheetColumns };
  const pages = layOut(blocksOf(form), { height: options.pageLines ?? linesPerPage, foot: footOf(form) });
  // The no-break spaces have done their work; plain text for every printer has plain spaces.
  return pages.map((lines) => lines.map((line) => line.replaceAll('\u00a0', ' ').trimEnd()));
}
