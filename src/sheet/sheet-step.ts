// One numbered step of a sheet as plain values: what it is, what it needs and sets, and where it leads, every name
// of a step turned into its number. Wording and drawing are the renderers'.

import type { Release, Shows } from '../manifest/schema.ts';

export interface Placed {
  readonly position: string;
  readonly state: string;
}

/** Where to go: a number on this sheet, and whether it is simply the next one. */
export interface GoTo {
  readonly number: number;
  readonly isNext: boolean;
}

export interface WatchRow {
  readonly pattern: string;
  readonly means: string;
  readonly busy: boolean;
  readonly shows: Shows;
  /** null: keep watching. */
  readonly goTo: GoTo | null;
}

export interface TriesLimit {
  readonly tries: number;
  readonly otherwise: GoTo;
}

export interface Ending {
  readonly position: string;
  readonly state: string;
  /** Left otherwise than the position usually ends. */
  readonly left: boolean;
}

export type SheetStepBody =
  | { readonly kind: 'identify'; readonly revisions: readonly string[] }
  | { readonly kind: 'version-before'; readonly from: Release['from'] }
  | { readonly kind: 'settings'; readonly settings: readonly string[] }
  | { readonly kind: 'do'; readonly text: string }
  | { readonly kind: 'wait'; readonly seconds: number; readonly orPlate: boolean }
  | { readonly kind: 'hold'; readonly what: string; readonly min: number; readonly max: number }
  | {
      readonly kind: 'measure';
      readonly what: string;
      readonly between: readonly string[];
      readonly unit: string;
      readonly from: number;
      readonly to: number;
      readonly proveMeter: boolean;
      readonly outside: GoTo;
    }
  | {
      readonly kind: 'watch';
      readonly rows: readonly WatchRow[];
      readonly withinSeconds: number;
      readonly late: GoTo | null;
      readonly unlisted: GoTo | null;
      /** The unit may be writing during it: one of its patterns is busy. */
      readonly busy: boolean;
    }
  | { readonly kind: 'read'; readonly where: string | null; readonly other: GoTo; readonly unreadable: GoTo }
  | { readonly kind: 'confirm'; readonly serves: readonly string[]; readonly otherwise: GoTo }
  | {
      readonly kind: 'end';
      readonly end: 'updated' | 'failed' | 'deferred';
      readonly stands: readonly Ending[];
    }
  | { readonly kind: 'restore'; readonly settings: readonly string[]; readonly notedAt: number }
  | { readonly kind: 'service'; readonly serves: readonly string[] }
  | { readonly kind: 'condition'; readonly positions: readonly { name: string; states: readonly string[] }[] }
  | { readonly kind: 'told' };

export interface SheetStep {
  readonly number: number;
  /** The manifest's name of it; null in the frame. */
  readonly id: string | null;
  readonly part: 'before' | 'procedure' | 'after';
  readonly body: SheetStepBody;
  readonly needs: readonly Placed[];
  readonly sets: readonly Placed[];
  readonly takesSeconds: number | null;
  readonly why: string | null;
  readonly tries: TriesLimit | null;
  /** Done once for all units of a site, with the first or with the last of them; null: at every unit. */
  readonly once: 'first' | 'last' | null;
  /** An end that says how the site is left: no other unit is begun there. */
  readonly endsSite: boolean;
  /** Where it leads when done as it should be; null: a watch, which leads only by its rows, or the last step. */
  readonly goTo: GoTo | null;
  /** Where it cannot be reached by going on from the step before: the steps that send here. Else null. */
  readonly onlyFrom: readonly number[] | null;
}
