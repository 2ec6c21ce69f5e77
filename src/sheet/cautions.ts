// The cautions that open every sheet and every walk: the ones that always stand there, one for each hazard that
// the product names, and what its manifest adds. The texts are data by language. None of them is a method, and
// none gives an order of switching: that is the maker's, by way of the manifest.

import { type Hazard, hazards } from '../manifest/hazards.ts';
import type { Product } from '../manifest/schema.ts';
import { paragraph } from './paragraph.ts';

export interface CautionText {
  readonly title: string;
  readonly text: string;
}

/** In the order in which they are printed. */
export const alwaysCautions = [
  'codes',
  'licensed',
  'leave',
  'not-dead',
  'discharge',
  'stays-live',
  'locks',
  'writing',
  'switch-on',
] as const;
export type AlwaysCaution = (typeof alwaysCautions)[number];

/** What of a language file the cautions need. */
export interface CautionTexts {
  readonly always: Readonly<Record<AlwaysCaution, CautionText>>;
  readonly hazards: Readonly<Record<Hazard, CautionText>>;
}

export interface Cautions {
  readonly always: readonly AlwaysCaution[];
  /** In the tool's own order, each once, whatever the manifest's order is. */
  readonly hazards: readonly Hazard[];
  /** The manifest's own lines, safe to print. */
  readonly added: readonly string[];
}

export function cautionsFor(product: Pick<Product, 'hazards' | 'cautions'>): Cautions {
  return {
    always: alwaysCautions,
    hazards: hazards.filter((hazard) => product.hazards.includes(hazard)),
    added: product.cautions.map(paragraph),
  };
}

/** `TITLE text`, in order: what a walk reads out one by one and a sheet numbers. */
export function cautionLines(cautions: Cautions, texts: CautionTexts): CautionText[] {
  return [
    ...cautions.always.map((key) => texts.always[key]),
    ...cautions.hazards.map((key) => texts.hazards[key]),
    ...cautions.added.map((text) => ({ title: '', text })),
  ];
}
