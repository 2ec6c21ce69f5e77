// One step of a procedure: does exactly one of do, wait, hold, measure, watch, read, confirm, end. As written
// the kinds are told apart by that key; the parsed form names it in `kind`. Durations leave here in seconds.
// Whether the names in a step exist is checked where the whole product is known, not here.

import * as z from 'zod';
import { asText } from './plain-scalar.ts';
import {
  duration,
  integer,
  list,
  mapping,
  nameKey,
  number,
  oneOf,
  strict,
  text,
  truth,
  wideName,
} from './schema-parts.ts';

interface StepCommon {
  readonly id: string;
  /** Position -> state; must hold on arrival. */
  readonly needs: Readonly<Record<string, string>>;
  /** Position -> state; holds once the step is done. */
  readonly sets: Readonly<Record<string, string>>;
  readonly takesSeconds?: number;
  readonly why?: string;
}

/** Done once for all units of one site: before the first of them, or after the last. */
interface Shareable {
  readonly oncePerSite?: true;
}

/** A loop that is bounded: done at most `tries` times, each leading to `next`; after that straight to `otherwise`. */
interface Triable {
  /** The manifest's `then`: the step that comes next, where it is not the following one. */
  readonly next?: string;
  readonly tries?: number;
  /** There exactly when `tries` is. */
  readonly otherwise?: string;
}

export interface DoStep extends StepCommon, Triable, Shareable {
  readonly kind: 'do';
  readonly do: string;
}

export interface WaitStep extends StepCommon, Triable, Shareable {
  readonly kind: 'wait';
  readonly waitSeconds: number;
  /** The longer of this and the time marked on the plate. */
  readonly orPlate: boolean;
}

export interface HoldStep extends StepCommon, Triable, Shareable {
  readonly kind: 'hold';
  /** The button, as it is marked. */
  readonly hold: string;
  readonly forSeconds: { readonly min: number; readonly max: number };
}

export interface MeasureStep extends StepCommon {
  readonly kind: 'measure';
  readonly measure: {
    readonly what: string;
    /** Every pair to measure between; empty where there is one obvious reading. */
    readonly between: readonly string[];
    readonly in: string;
    /** Passes when every reading lies within both, ends and sign included. */
    readonly from: number;
    readonly to: number;
    readonly proveMeter: boolean;
  };
  readonly next?: string;
  readonly otherwise: string;
}

export interface WatchStep extends StepCommon {
  readonly kind: 'watch';
  /** Pattern -> step; its own id: keep watching. */
  readonly watch: Readonly<Record<string, string>>;
  readonly withinSeconds: number;
  /** The step when time is up. */
  readonly late: string;
  /** The step for lights that are not on the list. */
  readonly unlisted: string;
}

export interface ReadStep extends StepCommon {
  readonly kind: 'read';
  readonly read: 'version';
  readonly where?: string;
  readonly next?: string;
  readonly other: string;
  /** Left out: as if the release's version had been read, so the next step. */
  readonly unreadable?: string;
}

export interface ConfirmStep extends StepCommon {
  readonly kind: 'confirm';
  /** `serves`: each line of the product's list of that name. */
  readonly confirm: 'serves';
  readonly next?: string;
  readonly otherwise: string;
}

export interface EndStep {
  readonly id: string;
  readonly kind: 'end';
  readonly end: 'updated' | 'failed' | 'deferred';
  /** Position -> state, where it is not the position's `ends`. */
  readonly leaves: Readonly<Record<string, string>>;
}

export type Step = DoStep | WaitStep | HoldStep | MeasureStep | WatchStep | ReadStep | ConfirmStep | EndStep;
export type StepKind = Step['kind'];

export const stepKinds = ['do', 'wait', 'hold', 'measure', 'watch', 'read', 'confirm', 'end'] as const;

export const placing = mapping(nameKey, wideName, 'positions and their states', 24);

const common = {
  id: wideName,
  needs: placing.optional(),
  sets: placing.optional(),
  takes: duration.optional(),
  why: text(300).optional(),
};
const then = wideName.optional();
const triable = {
  then,
  tries: integer(1, 20).optional(),
  otherwise: wideName.optional(),
  oncePerSite: truth.optional(),
};

interface WrittenCommon {
  id: string;
  needs?: Record<string, string> | undefined;
  sets?: Record<string, string> | undefined;
  takes?: number | undefined;
  why?: string | undefined;
}

function commonOf(step: WrittenCommon): StepCommon {
  return {
    id: step.id,
    needs: step.needs ?? {},
    sets: step.sets ?? {},
    ...(step.takes !== undefined && { takesSeconds: step.takes }),
    ...(step.why !== undefined && { why: step.why }),
  };
}

/** Named `next` once parsed: an object with a `then` is mistaken for a promise all too easily. */
function nextOf(step: { then?: string | undefined }): { next?: string } {
  return step.then === undefined ? {} : { next: step.then };
}

function triableOf(step: {
  then?: string | undefined;
  tries?: number | undefined;
  otherwise?: string | undefined;
  oncePerSite?: boolean | undefined;
}): Triable & Shareable {
  return {
    ...(step.oncePerSite === true && { oncePerSite: true as const }),
    ...nextOf(step),
    ...(step.tries !== undefined && { tries: step.tries }),
    ...(step.otherwise !== undefined && { otherwise: step.otherwise }),
  };
}

const doStep = strict({ ...common, ...triable, do: text(500) }).transform(
  (step): DoStep => ({ ...commonOf(step), ...triableOf(step), kind: 'do', do: step.do }),
);

const waitStep = strict({ ...common, ...triable, wait: duration, orPlate: truth.optional() }).transform(
  (step): WaitStep => ({
    ...commonOf(step),
    ...triableOf(step),
    kind: 'wait',
    waitSeconds: step.wait,
    orPlate: step.orPlate ?? false,
  }),
);

const span = z.union(
  [duration.transform((seconds): [number, number] => [seconds, seconds]), z.tuple([duration, duration])],
  {
    error: 'a duration such as 6s, or the shortest and the longest, such as [6s, 9s]',
  },
);

const holdStep = strict({ ...common, ...triable, hold: text(60), for: span }).transform(
  (step): HoldStep => ({
    ...commonOf(step),
    ...triableOf(step),
    kind: 'hold',
    hold: step.hold,
    forSeconds: { min: step.for[0], max: step.for[1] },
  }),
);

const measureStep = strict({
  ...common,
  then,
  measure: strict({
    what: text(120),
    between: list(text(120), 'pairs to measure between', 1, 12).optional(),
    in: text(20),
    from: number(-1e9, 1e9),
    to: number(-1e9, 1e9),
    proveMeter: truth.optional(),
  }),
  otherwise: wideName,
}).transform(
  (step): MeasureStep => ({
    ...commonOf(step),
    ...nextOf(step),
    kind: 'measure',
    measure: {
      what: step.measure.what,
      between: step.measure.between ?? [],
      in: step.measure.in,
      from: step.measure.from,
      to: step.measure.to,
      proveMeter: step.measure.proveMeter ?? false,
    },
    otherwise: step.otherwise,
  }),
);

const watchStep = strict({
  ...common,
  watch: mapping(nameKey, wideName, 'patterns and the steps they lead to', 40),
  within: duration,
  late: wideName,
  unlisted: wideName,
}).transform(
  (step): WatchStep => ({
    ...commonOf(step),
    kind: 'watch',
    watch: step.watch,
    withinSeconds: step.within,
    late: step.late,
    unlisted: step.unlisted,
  }),
);

const readStep = strict({
  ...common,
  then,
  read: oneOf(['version']),
  where: text(200).optional(),
  other: wideName,
  unreadable: wideName.optional(),
}).transform(
  (step): ReadStep => ({
    ...commonOf(step),
    ...nextOf(step),
    kind: 'read',
    read: step.read,
    ...(step.where !== undefined && { where: step.where }),
    other: step.other,
    ...(step.unreadable !== undefined && { unreadable: step.unreadable }),
  }),
);

const confirmStep = strict({ ...common, then, confirm: oneOf(['serves']), otherwise: wideName }).transform(
  (step): ConfirmStep => ({
    ...commonOf(step),
    ...nextOf(step),
    kind: 'confirm',
    confirm: step.confirm,
    otherwise: step.otherwise,
  }),
);

const endStep = strict({
  id: wideName,
  end: oneOf(['updated', 'failed', 'deferred']),
  leaves: placing.optional(),
}).transform((step): EndStep => ({ id: step.id, kind: 'end', end: step.end, leaves: step.leaves ?? {} }));

/** In the order of `stepKinds`: the reader of manifests picks the branch of a faulty step by it. */
export const step = z.preprocess(
  asText,
  z.union([doStep, waitStep, holdStep, measureStep, watchStep, readStep, confirmStep, endStep], {
    error: `a step that does one of: ${stepKinds.join(', ')}`,
  }),
);
