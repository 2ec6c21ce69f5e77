// What can happen in a walk: what a person says, or that a time is over. Each event carries its instant; the
// walk has no clock. Which event fits which question stands in walk-question.ts.

import type { CardStanding, WalkLeft } from './walk.ts';

type Said =
  | { readonly kind: 'caution-read' }
  | { readonly kind: 'card'; readonly standing: CardStanding }
  | { readonly kind: 'plate'; readonly lastFour: string; readonly revision: string }
  /** `sure`: it was written down, and nobody can look once more. */
  | { readonly kind: 'version-before'; readonly version: string; readonly sure?: true }
  | { readonly kind: 'version-before-unreadable' }
  /** Whether the service lead says to go on all the same. */
  | { readonly kind: 'lead-says'; readonly goOn: boolean; readonly name: string }
  /** In the order of the release's `resets`. */
  | { readonly kind: 'settings'; readonly values: readonly string[] }
  | { readonly kind: 'starts'; readonly asSaid: boolean }
  | { readonly kind: 'done' }
  | { readonly kind: 'cannot' }
  /** Minutes as typed; null: the plate marks none. */
  | { readonly kind: 'plate-time'; readonly minutes: string | null }
  | { readonly kind: 'meter'; readonly good: boolean }
  | { readonly kind: 'reading'; readonly text: string }
  /** The readings as they stand: taken, or measured anew. */
  | { readonly kind: 'readings'; readonly taken: boolean }
  | { readonly kind: 'lights'; readonly pattern: string }
  | { readonly kind: 'unlisted' }
  | { readonly kind: 'time-up' }
  | { readonly kind: 'version'; readonly version: string }
  | { readonly kind: 'unreadable' }
  | { readonly kind: 'sign'; readonly seen: boolean }
  | { readonly kind: 'restored'; readonly restored: boolean }
  | { readonly kind: 'position'; readonly state: string }
  | { readonly kind: 'left'; readonly left: WalkLeft }
  | { readonly kind: 'cause'; readonly cause: string }
  | { readonly kind: 'reason'; readonly reason: string }
  | { readonly kind: 'case'; readonly number: string | null }
  /** null: there was nobody to tell. */
  | { readonly kind: 'told'; readonly name: string | null }
  | { readonly kind: 'stop' }
  | { readonly kind: 'go-on' }
  | { readonly kind: 'break-off' }
  | { readonly kind: 'end-here'; readonly outcome: 'failed' | 'deferred' };

export type WalkEvent = Said & { readonly atMs: number };
export type WalkEventKind = Said['kind'];
/** The event of one kind. */
export type EventOf<K extends WalkEventKind> = Extract<WalkEvent, { kind: K }>;
