// What a walk asks next, as a value: all that a front (a terminal, a file of answers) needs to ask it and to make
// the event. Says nothing in words and draws nothing. Texts are the manifest's as they stand: a front makes them
// fit to print.

import type {
  DoStep,
  HoldStep,
  MeasureStep,
  Pattern,
  ReadStep,
  Step,
  WatchStep,
} from '../../manifest/schema.ts';
import { deferralReasons, failureCauses, leftStates } from '../outcome-words.ts';
import { writesMeanwhile } from './may-be-writing.ts';
import { waitOverMs, watchOverMs } from './reduce-step.ts';
import { outcomesOpen } from './reduce-walk.ts';
import { type Stand, standOf } from './stand.ts';
import type { Complaint, MeasureProgress, StopReason, Walk, WalkOutcome, WalkPlan } from './walk.ts';
import type { WalkEventKind } from './walk-event.ts';

export interface Placed {
  readonly position: string;
  readonly state: string;
}

export interface MeasureQuestion {
  readonly step: MeasureStep;
  readonly stage: MeasureProgress['stage'];
  readonly readings: readonly number[];
  /** Between what, of this reading; null: there is one obvious reading. */
  readonly pair: string | null;
}

export type Asked =
  | { readonly kind: 'caution'; readonly index: number; readonly count: number }
  | { readonly kind: 'card' }
  | { readonly kind: 'plate' }
  | { readonly kind: 'version-before' }
  | { readonly kind: 'lead' }
  | { readonly kind: 'settings'; readonly settings: readonly string[] }
  | { readonly kind: 'starts'; readonly positions: readonly Placed[] }
  | { readonly kind: 'do'; readonly step: DoStep; readonly triesLeft: number | null }
  | { readonly kind: 'hold'; readonly step: HoldStep }
  | { readonly kind: 'plate-time'; readonly waitSeconds: number }
  | { readonly kind: 'wait'; readonly overMs: number; readonly seconds: number }
  | ({ readonly kind: 'measure'; readonly again: boolean } & MeasureQuestion)
  | {
      readonly kind: 'watch';
      readonly step: WatchStep;
      /** In the manifest's order; `keeps`: go on watching. */
      readonly patterns: readonly { readonly pattern: Pattern; readonly keeps: boolean }[];
      readonly unlistedKeeps: boolean;
      readonly overMs: number;
    }
  | { readonly kind: 'read'; readonly step: ReadStep; readonly again: boolean }
  | { readonly kind: 'sign'; readonly sign: string | null; readonly index: number; readonly count: number }
  | {
      readonly kind: 'restore';
      readonly setting: string;
      readonly before: string;
      readonly index: number;
      readonly count: number;
    }
  | {
      readonly kind: 'position';
      /** This one and those that are asked after it. */
      readonly names: readonly string[];
      readonly purpose: 'resume' | 'left';
      readonly name: string;
      readonly states: readonly string[];
    }
  | { readonly kind: 'left'; readonly choices: typeof leftStates }
  | { readonly kind: 'cause'; readonly choices: typeof failureCauses }
  | { readonly kind: 'reason'; readonly choices: typeof deferralReasons }
  | { readonly kind: 'case' }
  | { readonly kind: 'told' }
  | {
      readonly kind: 'stopped';
      readonly why: StopReason;
      readonly stand: Stand;
      readonly mayGoOn: boolean;
      readonly outcomes: readonly ('failed' | 'deferred')[];
    }
  | { readonly kind: 'nothing' };

export interface WalkQuestion {
  readonly asked: Asked;
  /** The step of the manifest that it belongs to. */
  readonly step: Step | null;
  readonly resuming: boolean;
  /** Must hold before the step in hand is begun. */
  readonly needs: readonly Placed[];
  readonly sets: readonly Placed[];
  readonly complaint: Complaint | null;
  readonly mayBeWriting: boolean;
  /** Once the procedure has ended. */
  readonly outcome: WalkOutcome | null;
  /** Measurements made before that hold no longer, by step id: only after a walk broke off. */
  readonly lapsed: readonly string[];
}

export function questionOf(plan: WalkPlan, walk: Walk): WalkQuestion {
  const { phase } = walk;
  const inHand = phase.kind === 'step' ? plan.product.procedure[walk.at.step] : undefined;
  const placed = (placing: Readonly<Record<string, string>>): Placed[] =>
    Object.entries(placing).map(([position, state]) => ({ position, state }));
  return {
    asked: askedOf(plan, walk),
    step: inHand ?? null,
    resuming: walk.resuming,
    needs: inHand === undefined || inHand.kind === 'end' ? [] : placed(inHand.needs),
    sets: inHand === undefined || inHand.kind === 'end' ? [] : placed(inHand.sets),
    complaint: walk.complaint,
    mayBeWriting: writesMeanwhile(plan, walk),
    outcome: walk.result?.outcome ?? null,
    lapsed: walk.lapsed.map((step) => plan.product.procedure[step]!.id),
  };
}

function askedOf(plan: WalkPlan, walk: Walk): Asked {
  const { phase } = walk;
  const { product, release } = plan;
  const { axes } = plan.successors.graph;
  switch (phase.kind) {
    case 'cautions':
      return { kind: 'caution', index: phase.index, count: plan.cautions };
    case 'settings':
      return { kind: 'settings', settings: release.resets };
    case 'starts':
      return {
        kind: 'starts',
        positions: axes.map(({ name, states, starts }) => ({ position: name, state: states[starts]! })),
      };
    case 'step':
      return askedOfStep(plan, walk);
    case 'restore': {
      const { index } = phase;
      const before = walk.notes.settings[index] ?? '';
      return {
        kind: 'restore',
        setting: release.resets[index]!,
        before,
        index,
        count: release.resets.length,
      };
    }
    case 'service':
      return {
        kind: 'sign',
        sign: product.serves[phase.index]!,
        index: phase.index,
        count: product.serves.length,
      };
    case 'positions': {
      const { name, states } = axes[phase.axes[phase.given.length]!]!;
      const names = phase.axes.slice(phase.given.length).map((axis) => axes[axis]!.name);
      return { kind: 'position', purpose: phase.purpose, names, name, states };
    }
    case 'again': {
      const step = product.procedure[phase.steps[0]!] as MeasureStep;
      return { kind: 'measure', again: true, ...measureQuestion(step, phase.progress) };
    }
    case 'stopped':
      return {
        kind: 'stopped',
        why: phase.why,
        stand: standOf(plan, walk),
        mayGoOn: phase.from !== null,
        outcomes: outcomesOpen(plan, walk),
      };
    case 'ended':
    case 'broken-off':
      return { kind: 'nothing' };
    case 'plate':
    case 'card':
    case 'version-before':
    case 'lead':
    case 'case':
    case 'told':
      return { kind: phase.kind };
    case 'left':
      return { kind: 'left', choices: leftStates };
    case 'cause':
      return { kind: 'cause', choices: failureCauses };
    case 'reason':
      return { kind: 'reason', choices: deferralReasons };
  }
}

function measureQuestion(step: MeasureStep, { stage, readings }: MeasureProgress): MeasureQuestion {
  return { step, stage, readings, pair: step.measure.between[readings.length] ?? null };
}

function askedOfStep(plan: WalkPlan, walk: Walk): Asked {
  const { product, successors } = plan;
  const step = product.procedure[walk.at.step];
  const progress = walk.phase.kind === 'step' ? walk.phase.progress : { kind: 'plain' as const };
  switch (step?.kind) {
    case 'do': {
      const { tries } = step;
      const used = walk.at.triesUsed[successors.graph.counted.indexOf(walk.at.step)] ?? 0;
      return { kind: 'do', step, triesLeft: tries === undefined ? null : tries - used };
    }
    case 'hold':
      return { kind: 'hold', step };
    case 'wait': {
      const plate = progress.kind === 'wait' ? progress.plate : 'none';
      if (plate === 'not-asked') return { kind: 'plate-time', waitSeconds: step.waitSeconds };
      const overMs = waitOverMs(walk, step, plate);
      return { kind: 'wait', overMs, seconds: (overMs - walk.arrivedMs) / 1000 };
    }
    case 'measure': {
      const at: MeasureProgress = progress.kind === 'measure' ? progress : { stage: 'reading', readings: [] };
      return { kind: 'measure', again: false, ...measureQuestion(step, at) };
    }
    case 'watch':
      return {
        kind: 'watch',
        step,
        patterns: Object.entries(step.watch).map(([id, to]) => ({
          pattern: product.patterns.find((one) => one.id === id)!,
          keeps: to === step.id,
        })),
        unlistedKeeps: step.unlisted === step.id,
        overMs: watchOverMs(walk, step),
      };
    case 'read':
      return { kind: 'read', step, again: progress.kind === 'read' && progress.first !== null };
    case 'confirm': {
      const index = progress.kind === 'confirm' ? progress.index : 0;
      const count = Math.max(1, product.serves.length);
      return { kind: 'sign', sign: product.serves[index] ?? null, index, count };
    }
    default:
      throw new RangeError('the walk stands on no step');
  }
}

/** The events that answer a question; `stop` goes with every one but the last. */
export function answersTo(asked: Asked): readonly WalkEventKind[] {
  switch (asked.kind) {
    case 'caution':
      return ['caution-read'];
    case 'version-before':
      return ['version-before', 'version-before-unreadable'];
    case 'lead':
      return ['lead-says'];
    case 'do':
      return ['done', 'cannot'];
    case 'hold':
    case 'wait':
      return ['done'];
    case 'measure':
      return asked.stage === 'reading' ? ['reading'] : asked.stage === 'review' ? ['readings'] : ['meter'];
    case 'watch':
      return ['lights', 'unlisted', 'time-up'];
    case 'read':
      return ['version', 'unreadable'];
    case 'restore':
      return ['restored'];
    case 'stopped':
      return ['go-on', 'break-off', 'end-here'];
    case 'nothing':
      return [];
    case 'card':
    case 'plate':
    case 'settings':
    case 'starts':
    case 'plate-time':
    case 'sign':
    case 'position':
    case 'left':
    case 'cause':
    case 'reason':
    case 'case':
    case 'told':
      return [asked.kind];
  }
}
