// What answers the questions of a walk: a person at a terminal, or a file. It asks one question at a time and
// gives one event; it decides nothing and keeps nothing.

import type { CardStanding } from '../procedure/walk/walk.ts';
import type { WalkEvent } from '../procedure/walk/walk-event.ts';
import type { WalkQuestion } from '../procedure/walk/walk-question.ts';

export interface PreparedCard {
  readonly name: string;
  readonly preparedMs: number;
}

/** What is known of cards, and a look at one. */
export interface CardDesk {
  /** Cards that the record knows as ready for this release, the newest first. */
  prepared(): Promise<readonly PreparedCard[]>;
  /** `path`: where it can be read now; null where it cannot. */
  standing(name: string, path: string | null): Promise<CardStanding>;
}

export interface WalkFront {
  /** `lastMs`: the instant of the event before; the new one's is never earlier. */
  answer(question: WalkQuestion, lastMs: number): Promise<WalkEvent>;
  /** The walk is over: a Failure where answers are left over. */
  finish(): void;
}
