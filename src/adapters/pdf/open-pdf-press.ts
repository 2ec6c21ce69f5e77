// The press by way of pdfkit, with letters that are embedded: DejaVu Sans Condensed, so that every printer has
// them and narrow columns hold much. Letters are set one after another by their own widths, without kerning and
// ligatures: several times faster than full shaping, and right for every script that it says it can set.

import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Font, Glyph } from 'fontkit';
import type { Face, PdfPages, PdfPress } from '../../ports/pdf-press.ts';
import { type PageLetters, pageContent } from './page-content.ts';

const fontFile: Readonly<Record<Face, string>> = {
  plain: 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf',
  bold: 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf',
};

/** Written left to right, each character a letter of its own. Others need shaping that is not done here. */
const settable =
  /^[\p{Script=Latin}\p{Script=Greek}\p{Script=Cyrillic}\p{Script=Armenian}\p{Script=Georgian}\p{Script=Common}]$/u;
const marks = /^\p{Mark}$/u;

interface SetFace {
  readonly font: Font;
  has(codePoint: number): boolean;
  advanceOf(text: string): number;
}

function openFace(file: string, create: typeof import('fontkit').create): SetFace {
  const require = createRequire(import.meta.url);
  const font = create(readFileSync(require.resolve(file))) as Font;
  const glyphs = new Map<number, Glyph>();
  const glyphOf = (codePoint: number): Glyph => {
    const known = glyphs.get(codePoint);
    if (known !== undefined) return known;
    const glyph = font.glyphForCodePoint(codePoint);
    glyphs.set(codePoint, glyph);
    return glyph;
  };
  const glyphsOf = (text: string) => Array.from(text, (character) => glyphOf(character.codePointAt(0) ?? 0));

  // What pdfkit is handed: the same font with the plain layout, and without its long table of glyph names, of
  // which all that is asked is this.
  const plain = Object.create(font, {
    layout: {
      value: (text: string) => {
        const glyphs = glyphsOf(text);
        const positions = glyphs.map(({ advanceWidth }) => {
          return { xAdvance: advanceWidth, yAdvance: 0, xOffset: 0, yOffset: 0 };
        });
        return {
          glyphs,
          positions,
          advanceWidth: glyphs.reduce((sum, glyph) => sum + glyph.advanceWidth, 0),
        };
      },
    },
    post: { value: { isFixedPitch: false, italicAngle: 0 } },
  }) as Font;

  const advances = new Map<string, number>();
  return {
    font: plain,
    has: (codePoint) => font.hasGlyphForCodePoint(codePoint),
    advanceOf(text) {
      let sum = 0;
      for (const character of text) {
        let advance = advances.get(character);
        if (advance === undefined) {
          advance = glyphOf(character.codePointAt(0) ?? 0).advanceWidth / font.unitsPerEm;
          advances.set(character, advance);
        }
        sum += advance;
      }
      return sum;
    },
  };
}

export async function openPdfPress(): Promise<PdfPress> {
  const { create } = await import('fontkit');
  const faces = { plain: openFace(fontFile.plain, create), bold: openFace(fontFile.bold, create) };
  return {
    widthOf: (text, face, sizePt) => faces[face].advanceOf(text) * sizePt,
    lacking(text) {
      const lacking = new Set<string>();
      for (const character of text) {
        if (character >= ' ' && character <= '~') continue;
        const codePoint = character.codePointAt(0) ?? 0;
        const isSet = settable.test(character) && !marks.test(character);
        if (!isSet || !faces.plain.has(codePoint) || !faces.bold.has(codePoint)) lacking.add(character);
      }
      return [...lacking];
    },
    print: (pages) => print(pages, faces),
  };
}

/** What pdfkit holds of a font that it embeds. Not in its published types, so a test holds it to this. */
interface PdfkitFont {
  readonly id: string;
  encode(text: string): [codes: string[], positions: unknown[]];
  ref(): unknown;
}

interface EmbeddedFace {
  readonly name: string;
  codeOf(character: string): string;
  useOn(page: PDFKit.PDFPage): void;
}

function embed(document: PDFKit.PDFDocument, font: Font): EmbeddedFace {
  document.font(font as unknown as PDFKit.Mixins.PDFFontSource);
  const held = (document as unknown as { readonly _font: PdfkitFont })._font;
  const codes = new Map<string, string>();
  return {
    name: held.id,
    codeOf(character) {
      const known = codes.get(character);
      if (known !== undefined) return known;
      const code = held.encode(character)[0].join('');
      codes.set(character, code);
      return code;
    },
    useOn(page) {
      (page as unknown as { readonly fonts: Record<string, unknown> }).fonts[held.id] ??= held.ref();
    },
  };
}

async function print(pages: PdfPages, faces: Readonly<Record<Face, SetFace>>): Promise<Uint8Array> {
  const { default: PdfDocument } = await import('pdfkit');
  const { widthPt, heightPt } = pages.paper;
  const document = new PdfDocument({
    size: [widthPt, heightPt],
    margin: 0,
    autoFirstPage: false,
    lang: pages.language,
    displayTitle: true,
    pdfVersion: '1.7',
    // Its own typefaces are not loaded at all.
    font: null as unknown as string,
    info: {
      Title: pages.title,
      Producer: 'slotproof',
      Creator: 'slotproof',
      CreationDate: new Date(pages.createdMs),
    },
  });
  const chunks: Uint8Array[] = [];
  const ended = new Promise<void>((resolve, reject) => {
    document.on('data', (chunk: Uint8Array) => chunks.push(chunk));
    document.on('end', resolve);
    document.on('error', reject);
  });
  const embedded = { plain: embed(document, faces.plain.font), bold: embed(document, faces.bold.font) };
  const letters: PageLetters = {
    nameOf: (face) => embedded[face].name,
    codeOf: (character, face) => embedded[face].codeOf(character),
  };
  for (const inks of pages.pages) {
    document.addPage();
    for (const face of [embedded.plain, embedded.bold]) face.useOn(document.page);
    // pdfkit has turned the page upside down; PDF's own operators count from the bottom.
    document.addContent(`q 1 0 0 -1 0 ${heightPt} cm\n${pageContent(inks, heightPt, letters)}\nQ`);
  }
  document.end();
  await ended;
  return joined(chunks);
}

function joined(chunks: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(chunks.reduce((sum, chunk) => sum + chunk.length, 0));
  let at = 0;
  for (const chunk of chunks) {
    all.set(chunk, at);
    at += chunk.length;
  }
  return all;
}
