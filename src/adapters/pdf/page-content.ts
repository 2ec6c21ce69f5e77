// A page's ink in PDF's own operators (ISO 32000-1, 8.5 paths, 9.4 text), many times faster than a call for each
// stroke. Knows nothing of files and fonts: how a letter is called on the page is handed in.

import type { Face, Ink } from '../../ports/pdf-press.ts';

/** What a page calls its fonts, and a character's code in each, in hexadecimal. */
export interface PageLetters {
  nameOf(face: Face): string;
  codeOf(character: string, face: Face): string;
}

/** Points with three digits behind the point: a hundredth of what a printer can show. */
function at(...valuesPt: number[]): string {
  return valuesPt.map((value) => String(Math.round(value * 1000) / 1000)).join(' ');
}

function rgb(colour: string): string {
  const parts = [1, 3, 5].map((from) => Number.parseInt(colour.slice(from, from + 2), 16) / 255);
  return at(...parts);
}

/** `top`: the page's height, since PDF counts from the bottom and ink from the top. */
export function pageContent(inks: readonly Ink[], topPt: number, letters: PageLetters): string {
  const content: string[] = [];
  let filling = '';
  let font = '';
  let strokePt = -1;
  const fillWith = (colour: string) => {
    if (colour === filling) return;
    content.push(`${rgb(colour)} rg`);
    filling = colour;
  };
  const strokeWith = (widthPt: number) => {
    if (widthPt === strokePt) return;
    content.push(`${at(widthPt)} w`);
    strokePt = widthPt;
  };
  for (const ink of inks) {
    switch (ink.kind) {
      case 'text': {
        fillWith(ink.colour ?? '#000000');
        const wanted = `/${letters.nameOf(ink.face)} ${at(ink.sizePt)} Tf`;
        const codes = Array.from(ink.text, (character) => letters.codeOf(character, ink.face)).join('');
        // The font stays set from one text object to the next.
        const set = wanted === font ? '' : `${wanted} `;
        content.push(`BT ${set}${at(ink.xPt, topPt - ink.baselinePt)} Td <${codes}> Tj ET`);
        font = wanted;
        break;
      }
      case 'line': {
        strokeWith(ink.strokePt);
        const [fromX, fromY] = ink.fromPt;
        const [toX, toY] = ink.toPt;
        content.push(`${at(fromX, topPt - fromY)} m ${at(toX, topPt - toY)} l S`);
        break;
      }
      case 'box': {
        const { xPt, yPt, widthPt, heightPt, fill } = ink;
        if (fill !== null) fillWith(fill);
        if (ink.strokePt > 0) strokeWith(ink.strokePt);
        const paint = fill === null ? 'S' : ink.strokePt > 0 ? 'B' : 'f';
        content.push(`${at(xPt, topPt - yPt - heightPt, widthPt, heightPt)} re ${paint}`);
      }
    }
  }
  return content.join('\n');
}
