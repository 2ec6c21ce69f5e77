// Where pages are printed as PDF: it knows its letters and how wide they are, and puts ink on pages. What stands
// where is decided by whoever lays the pages out. Lengths are points (1/72 inch), from the page's top left corner.

export type Face = 'plain' | 'bold';

export type Ink =
  | {
      readonly kind: 'text';
      readonly xPt: number;
      readonly baselinePt: number;
      readonly text: string;
      readonly face: Face;
      readonly sizePt: number;
      /** Black, unless said otherwise: `#rrggbb`. */
      readonly colour?: string;
    }
  | {
      readonly kind: 'line';
      readonly fromPt: readonly [number, number];
      readonly toPt: readonly [number, number];
      readonly strokePt: number;
    }
  | {
      readonly kind: 'box';
      readonly xPt: number;
      readonly yPt: number;
      readonly widthPt: number;
      readonly heightPt: number;
      /** null: not filled. */
      readonly fill: string | null;
      /** 0: no line around it. */
      readonly strokePt: number;
    };

export interface PaperSize {
  readonly widthPt: number;
  readonly heightPt: number;
}

export interface PdfPages {
  readonly title: string;
  /** BCP 47. */
  readonly language: string;
  /** Said in the file; the same pages of the same time give the same bytes. */
  readonly createdMs: number;
  readonly paper: PaperSize;
  readonly pages: readonly (readonly Ink[])[];
}

export interface PdfPress {
  widthOf(text: string, face: Face, sizePt: number): number;
  /** The characters of a text that it cannot print right, each once: no letter for them, or a script it cannot set. */
  lacking(text: string): readonly string[];
  print(pages: PdfPages): Promise<Uint8Array>;
}
