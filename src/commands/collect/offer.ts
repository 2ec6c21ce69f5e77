// What a source offers to `collect`: texts of pocket pages, files that units left on cards, and what could not even be
// read. Where it came from goes with each, so that every refusal can say it.

import type { Product } from '../../manifest/schema.ts';

export interface Refusal {
  /** Absolute path, with `:line`, or `:file` for a file on a card; or the code as it was typed. */
  readonly source: string;
  readonly code: string;
  readonly summary: string;
  /** One step, for whoever has the file or the code before them. */
  readonly next: string;
  readonly serial?: string;
  readonly sheet?: string;
  /** The entry by which it was taken before. */
  readonly entry?: string;
}

export interface PageOffer {
  readonly kind: 'page';
  readonly source: string;
  readonly form: 'file' | 'qr' | 'code';
  readonly text: string;
  /** As the text names it; codes name none. */
  readonly sheet: string | undefined;
}

export interface ResultOffer {
  readonly kind: 'result';
  readonly source: string;
  readonly bytes: Uint8Array;
  /** Those whose units leave a file of this name there. */
  readonly products: readonly Product[];
  /** By the name that the record knows it under, where the file lies on a card image file. */
  readonly card: string | undefined;
}

export type Offer = PageOffer | ResultOffer | (Refusal & { readonly kind: 'refused' });

export function refusedOffer(source: string, code: string, summary: string, next: string): Offer {
  return { kind: 'refused', source, code, summary, next };
}

/** By hand, as from paper: what a person saw is never lost because a file cannot be taken. */
export const byHand = 'slotproof log SERIAL OUTCOME';

/** Where a unit's own file tells nothing. */
export const logWhatItShows = `Log by hand what the unit shows: ${byHand}.`;
