// A walk on site as a value: where in the frame or the procedure it stands, what was said so far, and what has
// yet to be written to the record. It changes by events alone, each with its time: see reduce-walk.ts. What a
// step means, and what follows it, is the step graph's; this only says where somebody is in it.

import type { Product, Release } from '../../manifest/schema.ts';
import type { leftStates, outcomeKinds } from '../outcome-words.ts';
import type { Successors, WalkState } from '../successors.ts';

/** A product and its procedure as a graph. */
export interface Mapped {
  readonly product: Product;
  readonly successors: Successors;
}

export interface WalkPlan extends Mapped {
  readonly release: Release;
  readonly serial: string;
  /** As registered; null: not known. */
  readonly hardware: string | null;
  /** How many cautions there are to acknowledge. */
  readonly cautions: number;
  /** Is this release the next one for a unit on which this version and this revision were read? */
  judgeVersion(version: string, revision: string): VersionJudgement;
}

export type VersionJudgement =
  | { readonly kind: 'next' }
  | { readonly kind: 'same' }
  /** `why`: one sentence for the technician. */
  | { readonly kind: 'not-next'; readonly why: string };

export type WalkOutcome = (typeof outcomeKinds)[number];
export type WalkLeft = (typeof leftStates)[number];

/** What is known of the card in hand: a look at it just now, and what the record says of it. */
export interface CardStanding {
  readonly name: string;
  readonly now: 'ready' | 'not-ready' | 'not-read';
  readonly record: 'ready' | 'used' | 'not-ready' | 'not-known';
  /** What is wrong with it, in one sentence. */
  readonly why: string | null;
}

export interface MeasureProgress {
  readonly stage: 'meter-before' | 'reading' | 'meter-after' | 'review';
  readonly readings: readonly number[];
}

/** How far the step in hand is. */
export type StepProgress =
  | { readonly kind: 'plain' }
  /** `plate`: not asked yet, none marked, or seconds. */
  | { readonly kind: 'wait'; readonly plate: 'not-asked' | 'none' | number }
  | ({ readonly kind: 'measure' } & MeasureProgress)
  /** `first`: another version was typed once; it must be typed the same again. */
  | { readonly kind: 'read'; readonly first: string | null }
  | { readonly kind: 'confirm'; readonly index: number };

export type StopReason =
  | 'asked'
  | 'cannot'
  | 'starts-otherwise'
  | 'other-unit'
  | 'positions-differ'
  | 'not-dead'
  | 'manifest-changed';

export type Phase =
  | { readonly kind: 'cautions'; readonly index: number }
  | { readonly kind: 'card' }
  /** `first`: another revision than the registered or allowed one was typed once. */
  | { readonly kind: 'plate'; readonly first: string | null }
  /** `first`: one from which the release does not lead on was typed once. */
  | { readonly kind: 'version-before'; readonly first: string | null }
  | { readonly kind: 'lead' }
  | { readonly kind: 'settings' }
  | { readonly kind: 'starts' }
  | { readonly kind: 'step'; readonly progress: StepProgress }
  | { readonly kind: 'restore'; readonly index: number }
  | { readonly kind: 'service'; readonly index: number }
  /** How each thing stands, asked one by one: on resuming, and where a stop left it open. */
  | {
      readonly kind: 'positions';
      readonly purpose: 'resume' | 'left';
      readonly axes: readonly number[];
      readonly given: readonly number[];
    }
  /** Measurements that passed before the walk broke off, made again. */
  | { readonly kind: 'again'; readonly steps: readonly number[]; readonly progress: MeasureProgress }
  | { readonly kind: 'left' }
  | { readonly kind: 'cause' }
  | { readonly kind: 'reason' }
  | { readonly kind: 'case' }
  | { readonly kind: 'told' }
  | { readonly kind: 'ended' }
  | { readonly kind: 'broken-off' }
  | {
      readonly kind: 'stopped';
      readonly why: StopReason;
      /** Where `go-on` leads; null: there is no going on. */
      readonly from: Phase | null;
      /** Positions as seen, where they are not those of the walk; by axis. */
      readonly seen: readonly number[] | null;
    };

/** One thing done and to be kept, in the order in which it was done. */
export interface DoneStep {
  readonly part: 'before' | 'procedure' | 'resume' | 'after';
  /** The manifest's id of a step, or the name of the part of the frame. */
  readonly step: string;
  readonly result: string;
  /** The pattern seen, where the result is `lights`. */
  readonly pattern?: string;
  readonly atMs: number;
  /** How everything stands after it; empty before the procedure begins. */
  readonly positions: Readonly<Record<string, string>>;
  readonly facts: Readonly<Record<string, FactValue>>;
}

export type FactValue =
  | string
  | number
  | boolean
  | null
  | readonly (string | number)[]
  | Readonly<Record<string, string>>;

/** What was said on the way, for the outcome. */
export interface WalkNotes {
  readonly card: string | null;
  readonly revision: string | null;
  readonly versionBefore: string | null;
  /** In the order of the release's `resets`. */
  readonly settings: readonly string[];
  readonly notRestored: readonly string[];
  readonly versionRead: string | null;
  /** Why it was not begun, in a sentence. */
  readonly why: string | null;
  /** The last pattern seen. */
  readonly lights: string | null;
}

export interface WalkResult {
  readonly outcome: WalkOutcome;
  /** What decided it: the frame before, an end of the procedure, the signs of service, or a stop. */
  readonly by: 'before' | 'procedure' | 'service' | 'stop';
  readonly left: WalkLeft | null;
  readonly reason: string | null;
  readonly cause: string | null;
  readonly caseNumber: string | null;
  readonly told: string | null;
}

/** Why the last answer was not taken. The same question stands again. */
export interface Complaint {
  readonly code: ComplaintCode;
  /** False: an answer of a form that cannot be right. True: it was heard, and has to be given once more. */
  readonly heard: boolean;
  readonly seen?: string;
  readonly expected?: string;
  /** The instant from which on it would be right, where it is a matter of time. */
  readonly fromMs?: number;
}

export type ComplaintCode =
  | 'backwards'
  | 'card-not-ready'
  | 'last-four-form'
  | 'last-four-differs'
  | 'revision-unknown'
  | 'revision-again'
  | 'version-form'
  | 'version-again'
  | 'version-before-again'
  | 'text-form'
  | 'plate-time-form'
  | 'too-early'
  | 'time-is-up'
  | 'not-yet-late'
  | 'pattern-unlisted'
  | 'reading-form'
  | 'reading-ambiguous'
  | 'meter-bad'
  | 'readings-again'
  | 'state-unknown'
  | 'cannot-go-on'
  | 'outcome-not-open';

export interface Walk {
  readonly phase: Phase;
  /** Time of the last event. */
  readonly atMs: number;
  /** Rebuilt from the record: identity, positions and dead test come first. */
  readonly resuming: boolean;
  /** The procedure has begun: its starting positions were confirmed. */
  readonly begun: boolean;
  readonly at: WalkState;
  /** When the step in hand was reached; a watch's time counts from here, whatever happens. */
  readonly arrivedMs: number;
  /** The unit was seen not to be writing, and nothing has been done since that could make it. */
  readonly idle: boolean;
  /** The unit may have begun to take firmware in at some time of this walk. */
  readonly mayHaveTaken: boolean;
  /** Measurements that passed, by step, with the positions as they stood and those switched until then. */
  readonly passed: readonly {
    readonly step: number;
    readonly positions: readonly number[];
    readonly switched: readonly number[];
  }[];
  /** Measurements of those that no longer hold, because what was switched for them has been switched back. */
  readonly lapsed: readonly number[];
  readonly notes: WalkNotes;
  readonly result: WalkResult | null;
  readonly complaint: Complaint | null;
  readonly done: readonly DoneStep[];
}

/** Positions by name. */
export function namedPositions(plan: WalkPlan, states: readonly number[]): Record<string, string> {
  const { axes } = plan.successors.graph;
  return Object.fromEntries(axes.map(({ name, states: names }, axis) => [name, names[states[axis]!]!]));
}

/** The walk with one more thing done; its time is the walk's. */
export function withDone(
  plan: WalkPlan,
  walk: Walk,
  part: DoneStep['part'],
  step: string,
  result: string,
  facts: DoneStep['facts'] = {},
  pattern?: string,
): Walk {
  const item: DoneStep = {
    part,
    step,
    result,
    ...(pattern !== undefined && { pattern }),
    atMs: walk.atMs,
    positions: walk.begun ? namedPositions(plan, walk.at.positions) : {},
    facts,
  };
  return { ...walk, done: [...walk.done, item] };
}

export function complain(
  walk: Walk,
  code: ComplaintCode,
  facts: Partial<Omit<Complaint, 'code'>> = {},
): Walk {
  return { ...walk, complaint: { code, heard: false, ...facts } };
}

export function toPhase(walk: Walk, phase: Phase): Walk {
  return { ...walk, phase };
}
