// Sets text in lines that never exceed a width. A text is a run of words, a word a row of pieces that stay
// together: letters, a blank to write on (underscores in a text), a box to tick. A no-break space holds together
// what stands around it. A word longer than the line is cut, since paper cannot be scrolled.

import type { Face, Ink, PdfPress } from '../../ports/pdf-press.ts';
import { nothing, type Slab } from './slab.ts';

export type Piece =
  | { readonly kind: 'text'; readonly text: string; readonly face: Face }
  | { readonly kind: 'blank'; readonly widthPt: number }
  | { readonly kind: 'box' };
export type Word = readonly Piece[];

export interface Setting {
  readonly widthPt: number;
  readonly sizePt: number;
  /** From line to line, in sizes. */
  readonly leading?: number;
  /** Between two words, in sizes; else a space of the typeface. */
  readonly gap?: number;
}

export interface Typesetter {
  readonly press: PdfPress;
  set(words: readonly Word[], setting: Setting): Slab;
  widthOf(word: Word, sizePt: number): number;
}

/** How far a blank reaches for each underscore that stands for it. */
const blankPerUnderscore = 0.58;
const boxSide = 0.95;
const plainLeading = 1.24;
/** They only ask for another look of the character before them. */
const variants = /[\ufe00-\ufe0f]/g;

export const tickBox: Piece = { kind: 'box' };

/** A tick box and the words behind it, the first of them never parted from it. */
export function ticked(text: string, face: Face = 'plain'): Word[] {
  const [first = [], ...rest] = words(text, face);
  return [[tickBox, { kind: 'text', text: '\u00a0', face }, ...first], ...rest];
}

export function words(text: string, face: Face = 'plain'): Word[] {
  return text
    .normalize('NFC')
    .replace(variants, '')
    .split(/[ \t\r\n]+/)
    .filter((word) => word !== '')
    .map((word) => piecesOf(word, face));
}

function piecesOf(word: string, face: Face): Piece[] {
  if (!word.includes('____')) return [{ kind: 'text', text: word, face }];
  return word
    .split(/(_{4,})/)
    .filter((part) => part !== '')
    .map((part) =>
      part.startsWith('____')
        ? { kind: 'blank', widthPt: part.length * blankPerUnderscore }
        : { kind: 'text', text: part, face },
    );
}

/** All its words as one, that is never parted unless it is longer than a line. */
export function together(parts: readonly Word[]): Word {
  return parts.flatMap((word, at): Piece[] =>
    at === 0 ? [...word] : [{ kind: 'text', text: '\u00a0', face: 'plain' }, ...word],
  );
}

/** A blank of so many sizes. */
export function blank(sizes: number): Piece {
  return { kind: 'blank', widthPt: sizes };
}

export function typesetter(press: PdfPress): Typesetter {
  const widths = new Map<string, number>();
  const textWidth = (text: string, face: Face, sizePt: number): number => {
    const key = `${face} ${text}`;
    let width = widths.get(key);
    if (width === undefined) {
      width = press.widthOf(text, face, 1);
      widths.set(key, width);
    }
    return width * sizePt;
  };
  const pieceWidth = (piece: Piece, sizePt: number): number => {
    switch (piece.kind) {
      case 'text':
        return textWidth(piece.text, piece.face, sizePt);
      case 'blank':
        return piece.widthPt * sizePt;
      case 'box':
        return boxSide * sizePt;
    }
  };
  const widthOf = (word: Word, sizePt: number) =>
    word.reduce((sum, piece) => sum + pieceWidth(piece, sizePt), 0);

  /** The beginning of a word that fits, and what is left of it; at least one character is taken. */
  function cut(word: Word, setting: Setting): [Word, Word] {
    const taken: Piece[] = [];
    let room = setting.widthPt;
    for (const [at, piece] of word.entries()) {
      const width = pieceWidth(piece, setting.sizePt);
      if (width <= room) {
        taken.push(piece);
        room -= width;
        continue;
      }
      const rest = word.slice(at + 1);
      if (piece.kind === 'text') {
        const [head, tail] = cutText(piece, room, setting.sizePt, taken.length === 0);
        return [
          [...taken, ...head],
          [...tail, ...rest],
        ];
      }
      // A blank wider than the whole line is as wide as the line.
      if (taken.length === 0) return [[{ kind: 'blank', widthPt: setting.widthPt / setting.sizePt }], rest];
      return [taken, word.slice(at)];
    }
    return [taken, []];
  }

  function cutText(
    piece: Piece & { kind: 'text' },
    room: number,
    sizePt: number,
    atLeastOne: boolean,
  ): [Piece[], Piece[]] {
    let head = '';
    // A no-break space is where a group that is too long for the line parts with the least harm.
    let gapAt = 0;
    for (const character of piece.text) {
      if (textWidth(head + character, piece.face, sizePt) > room && (head !== '' || !atLeastOne)) break;
      head += character;
      if (character === '\u00a0') gapAt = head.length;
    }
    if (gapAt > 0) head = head.slice(0, gapAt);
    const tail = piece.text.slice(head.length);
    return [head === '' ? [] : [{ ...piece, text: head }], tail === '' ? [] : [{ ...piece, text: tail }]];
  }

  function linesOf(all: readonly Word[], setting: Setting): Word[][] {
    const lines: Word[][] = [];
    let line: Word[] = [];
    let usedPt = 0;
    const end = () => {
      lines.push(line);
      line = [];
      usedPt = 0;
    };
    for (const whole of all) {
      let word = whole;
      let width = widthOf(word, setting.sizePt);
      const last = line[line.length - 1];
      if (last !== undefined && usedPt + gapBetween(last, word, setting) + width > setting.widthPt) end();
      while (width > setting.widthPt) {
        const [head, rest] = cut(word, setting);
        line = [head];
        end();
        word = rest;
        width = widthOf(word, setting.sizePt);
      }
      if (word.length === 0) continue;
      const before = line[line.length - 1];
      usedPt += (before === undefined ? 0 : gapBetween(before, word, setting)) + width;
      line.push(word);
    }
    if (line.length > 0) lines.push(line);
    return lines;
  }

  /** The face in which a space joins the letters of two words; undefined: it stands between other things. */
  function joint(before: Word, after: Word, { gap }: Setting): Face | undefined {
    const last = before[before.length - 1];
    const first = after[0];
    if (gap !== undefined || last?.kind !== 'text' || first?.kind !== 'text') return undefined;
    return last.face === first.face ? last.face : undefined;
  }

  function gapBetween(before: Word, after: Word, setting: Setting): number {
    if (setting.gap !== undefined) return setting.gap * setting.sizePt;
    return textWidth(' ', joint(before, after, setting) ?? 'plain', setting.sizePt);
  }

  function lineInk(line: readonly Word[], xPt: number, baselinePt: number, setting: Setting): Ink[] {
    const { sizePt } = setting;
    const inks: Ink[] = [];
    let atPt = xPt;
    // Letters of one face that follow each other go out as one text: it copies and searches as it reads.
    let run: { text: string; face: Face; xPt: number } | undefined;
    const flush = () => {
      if (run !== undefined && run.text.trim() !== '') {
        inks.push({
          kind: 'text',
          baselinePt,
          sizePt,
          ...run,
          text: run.text.replaceAll('\u00a0', ' ').trimEnd(),
        });
      }
      run = undefined;
    };
    const letters = (text: string, face: Face) => {
      if (run === undefined || run.face !== face) {
        flush();
        run = { text: '', face, xPt: atPt };
      }
      run.text += text;
      atPt += textWidth(text, face, sizePt);
    };
    line.forEach((word, at) => {
      const before = line[at - 1];
      if (before !== undefined) {
        const face = joint(before, word, setting);
        if (face !== undefined) letters(' ', face);
        else {
          flush();
          atPt += gapBetween(before, word, setting);
        }
      }
      for (const piece of word) {
        if (piece.kind === 'text') {
          letters(piece.text, piece.face);
          continue;
        }
        flush();
        const widthPt = pieceWidth(piece, sizePt);
        inks.push(
          piece.kind === 'blank'
            ? {
                kind: 'line',
                fromPt: [atPt, baselinePt + 1],
                toPt: [atPt + widthPt, baselinePt + 1],
                strokePt: 0.5,
              }
            : {
                kind: 'box',
                xPt: atPt,
                yPt: baselinePt - widthPt + 0.1 * sizePt,
                widthPt,
                heightPt: widthPt,
                fill: null,
                strokePt: 0.7,
              },
        );
        atPt += widthPt;
      }
    });
    flush();
    return inks;
  }

  return {
    press,
    widthOf,
    set(all, setting) {
      const lines = linesOf(all, setting);
      if (lines.length === 0) return nothing;
      const linePt = setting.sizePt * (setting.leading ?? plainLeading);
      // The letters stand in the middle of the height that the leading gives.
      const firstBaselinePt = linePt / 2 + setting.sizePt * 0.36;
      return {
        heightPt: lines.length * linePt,
        inkAt: (xPt, yPt) =>
          lines.flatMap((line, at) => lineInk(line, xPt, yPt + at * linePt + firstBaselinePt, setting)),
      };
    },
  };
}
