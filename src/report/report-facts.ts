// What a report is made from: all entries of one unit and of the cards that were used there, as they were written, and what
// the manifests say of the product and its releases. Handed in whole; nothing is looked up here.

import type { Product, Release } from '../manifest/schema.ts';
import type { Entry, Mark } from '../ports/record-store.ts';
import type { UnitRecord } from '../record/unit-record.ts';

export interface ReportFacts {
  readonly unit: UnitRecord;
  /** In words: `failed`, `to-confirm`; and why. */
  readonly standing: { readonly status: string; readonly why: string };
  /** Of the unit, oldest first; corrections among them. */
  readonly entries: readonly Entry[];
  /** `card-prepared` and `card-checked` of the cards that these entries name, and their corrections. */
  readonly cardEntries: readonly Entry[];
  readonly product: Product | undefined;
  readonly releases: readonly Release[];
  /** SHA-256 of the procedure as today's manifest has it, by `product@version`. */
  readonly procedures: ReadonlyMap<string, string>;
  readonly marks: readonly Mark[];
  readonly made: { readonly at: string; readonly by: string | null };
  /** Newest news of any manifest, a local day; null: not known. */
  readonly newsDay: string | null;
}
