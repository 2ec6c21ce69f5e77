// What the QR code on a sheet says: its number and its release, so that a telephone or a scanner can find the sheet
// again from paper. Says nothing of what was done there.

import type { QrCodeGenerateResult } from 'uqr';
import { encode } from 'uqr';
import { readSheetNumber } from './sheet-number.ts';
import type { SheetView } from './sheet-view.ts';

const lead = 'slotproof-sheet';

export interface SheetCode {
  readonly number: string;
  /** `product@version`. */
  readonly release: string;
}

export function encodeSheetCode(view: Pick<SheetView, 'number' | 'release'>): string {
  return `${lead} ${view.number} ${view.release.id}`;
}

/** From what a camera or a scanner read; undefined: it is no sheet's code, or misread. */
export function decodeSheetCode(text: string): SheetCode | undefined {
  const [first, typed = '', release = '', ...more] = text.trim().split(' ');
  const number = readSheetNumber(typed);
  if (first !== lead || number === undefined || release === '' || more.length > 0) return undefined;
  return { number, release };
}

export interface DarkRun {
  readonly row: number;
  readonly from: number;
  readonly length: number;
}

export interface QrDrawing {
  /** Modules on a side, the quiet zone of four included. */
  readonly size: number;
  /** Dark modules, those beside each other in one. */
  readonly runs: readonly DarkRun[];
}

/** Correction level M: paper is folded and gets dirty. */
export function drawQr(text: string): QrDrawing {
  const { size, data }: QrCodeGenerateResult = encode(text, { ecc: 'M', border: 4 });
  const runs = data.flatMap((modules, row) => {
    const found: DarkRun[] = [];
    let from = -1;
    for (let at = 0; at <= modules.length; at++) {
      const dark = modules[at] === true;
      if (dark && from < 0) from = at;
      if (!dark && from >= 0) {
        found.push({ row, from, length: at - from });
        from = -1;
      }
    }
    return found;
  });
  return { size, runs };
}
