// The numbered steps of a sheet: the frame that stands around every procedure (identify, version before,
// settings; afterwards settings, service, condition, customer) and the manifest's steps between, one series of
// numbers, since numbers are what a person says over the telephone. Every name of a step becomes its number
// here. Pure values: wording and drawing are the renderers'.

import type { Pattern, Position, Product, Release, Shows, Step } from '../manifest/schema.ts';
import { paragraph } from './paragraph.ts';

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
  /** Where it leads when done as it should be; null: a watch, which leads only by its rows, or the last step. */
  readonly goTo: GoTo | null;
  /** Where it cannot be reached by going on from the step before: the steps that send here. Else null. */
  readonly onlyFrom: readonly number[] | null;
}

function placedList(placing: Readonly<Record<string, string>>): Placed[] {
  return Object.entries(placing).map(([position, state]) => ({ position, state }));
}

/** True where a step done as it should be leads to the one printed after it. */
function fallsThrough(step: Step): boolean {
  return step.kind !== 'end' && step.kind !== 'watch' && step.next === undefined;
}

/** Every step that this one can send the reader to, by name; where it just goes on is not among them. */
function sendsTo(step: Step): string[] {
  switch (step.kind) {
    case 'end':
      return [];
    case 'watch':
      return [...Object.values(step.watch), step.late, step.unlisted];
    case 'read':
      return [step.next, step.other, step.unreadable].filter((name) => name !== undefined);
    default:
      return [step.next, step.otherwise].filter((name) => name !== undefined);
  }
}

/** The same pattern, its texts safe to print. */
export function cleanPattern(pattern: Pattern): Pattern {
  const { display, ...shows } = pattern.shows;
  return {
    ...pattern,
    means: paragraph(pattern.means),
    shows: { ...shows, ...(display !== undefined && { display: paragraph(display) }) },
  };
}

class Numbering {
  readonly #numbers = new Map<string, number>();
  readonly firstAfter: number;

  constructor(procedure: readonly Step[], first: number) {
    procedure.forEach((step, index) => {
      this.#numbers.set(step.id, first + index);
    });
    this.firstAfter = first + procedure.length;
  }

  of(name: string): number {
    const number = this.#numbers.get(name);
    // The manifest was checked before: an unknown name here is our own mistake.
    if (number === undefined) throw new RangeError(`no step is called ${name}`);
    return number;
  }

  goTo(name: string, from: number): GoTo {
    return goToNumber(this.of(name), from);
  }
}

function goToNumber(number: number, from: number): GoTo {
  return { number, isNext: number === from + 1 };
}

function watchBody(step: Step & { kind: 'watch' }, product: Product, number: number, numbering: Numbering) {
  const lead = (name: string) => (name === step.id ? null : numbering.goTo(name, number));
  const rows = Object.entries(step.watch).map(([name, to]): WatchRow => {
    const pattern = product.patterns.find(({ id }) => id === name);
    if (pattern === undefined) throw new RangeError(`no pattern is called ${name}`);
    const { means, busy, shows } = cleanPattern(pattern);
    return { pattern: name, means, busy, shows, goTo: lead(to) };
  });
  return {
    kind: 'watch' as const,
    rows,
    withinSeconds: step.withinSeconds,
    late: lead(step.late),
    unlisted: lead(step.unlisted),
    busy: rows.some((row) => row.busy),
  };
}

function endings(positions: Product['positions'], leaves: Readonly<Record<string, string>>): Ending[] {
  return Object.entries(positions).map(([name, position]: [string, Position]) => {
    const state = leaves[name] ?? position.ends;
    return { position: name, state, left: state !== position.ends };
  });
}

function bodyOf(step: Step, product: Product, number: number, numbering: Numbering): SheetStepBody {
  switch (step.kind) {
    case 'do':
      return { kind: 'do', text: paragraph(step.do) };
    case 'wait':
      return { kind: 'wait', seconds: step.waitSeconds, orPlate: step.orPlate };
    case 'hold':
      return { kind: 'hold', what: paragraph(step.hold), ...step.forSeconds };
    case 'measure':
      return {
        kind: 'measure',
        what: paragraph(step.measure.what),
        between: step.measure.between.map(paragraph),
        unit: paragraph(step.measure.in),
        from: step.measure.from,
        to: step.measure.to,
        proveMeter: step.measure.proveMeter,
        outside: numbering.goTo(step.otherwise, number),
      };
    case 'watch':
      return watchBody(step, product, number, numbering);
    case 'read':
      return {
        kind: 'read',
        where: step.where === undefined ? null : paragraph(step.where),
        other: numbering.goTo(step.other, number),
        unreadable:
          step.unreadable === undefined
            ? nextOf(step, number, numbering)
            : numbering.goTo(step.unreadable, number),
      };
    case 'confirm':
      return {
        kind: 'confirm',
        serves: product.serves.map(paragraph),
        otherwise: numbering.goTo(step.otherwise, number),
      };
    case 'end':
      return { kind: 'end', end: step.end, stands: endings(product.positions, step.leaves) };
  }
}

function nextOf(step: Step & { next?: string }, number: number, numbering: Numbering): GoTo {
  return step.next === undefined ? goToNumber(number + 1, number) : numbering.goTo(step.next, number);
}

function triesOf(step: Step, number: number, numbering: Numbering): TriesLimit | null {
  if (step.kind !== 'do' && step.kind !== 'wait' && step.kind !== 'hold') return null;
  if (step.tries === undefined || step.otherwise === undefined) return null;
  return { tries: step.tries, otherwise: numbering.goTo(step.otherwise, number) };
}

const bare = { id: null, needs: [], sets: [], takesSeconds: null, why: null, tries: null, onlyFrom: null };

/** The frame before: always the same two steps, and the settings where the release resets any. */
function stepsBefore(product: Product, release: Release): SheetStepBody[] {
  const bodies: SheetStepBody[] = [
    { kind: 'identify', revisions: release.hardware.filter((name) => product.hardware.includes(name)) },
    { kind: 'version-before', from: release.from },
  ];
  if (release.resets.length > 0) bodies.push({ kind: 'settings', settings: release.resets.map(paragraph) });
  return bodies;
}

/** The frame afterwards: an updated unit gets its settings back and is seen in service; every unit the rest. */
function stepsAfter(product: Product, release: Release): SheetStepBody[] {
  const bodies: SheetStepBody[] = [];
  if (release.resets.length > 0) {
    bodies.push({ kind: 'restore', settings: release.resets.map(paragraph), notedAt: 3 });
  }
  if (product.serves.length > 0) bodies.push({ kind: 'service', serves: product.serves.map(paragraph) });
  const positions = Object.entries(product.positions).map(([name, { states }]) => ({ name, states }));
  bodies.push({ kind: 'condition', positions }, { kind: 'told' });
  return bodies;
}

export function sheetSteps(product: Product, release: Release): SheetStep[] {
  const before = stepsBefore(product, release);
  const after = stepsAfter(product, release);
  const numbering = new Numbering(product.procedure, before.length + 1);
  const { firstAfter } = numbering;
  const condition = firstAfter + after.findIndex((body) => body.kind === 'condition');

  const senders = new Map<number, number[]>();
  const send = (from: number, to: number) => senders.set(to, [...(senders.get(to) ?? []), from]);
  product.procedure.forEach((step, index) => {
    const number = before.length + 1 + index;
    for (const to of new Set(sendsTo(step).map((name) => numbering.of(name)))) {
      if (to !== number) send(number, to);
    }
    if (step.kind === 'end') send(number, step.end === 'updated' ? firstAfter : condition);
  });

  const frame = (
    body: SheetStepBody,
    number: number,
    part: 'before' | 'after',
    last: boolean,
  ): SheetStep => ({
    ...bare,
    number,
    part,
    body,
    goTo: last ? null : goToNumber(number + 1, number),
    onlyFrom: number === firstAfter ? (senders.get(number) ?? []) : null,
  });

  return [
    ...before.map((body, index) => frame(body, index + 1, 'before', false)),
    ...product.procedure.map((step, index): SheetStep => {
      const number = before.length + 1 + index;
      const previous = product.procedure[index - 1];
      const reached = previous === undefined || fallsThrough(previous);
      return {
        number,
        id: step.id,
        part: 'procedure',
        body: bodyOf(step, product, number, numbering),
        needs: step.kind === 'end' ? [] : placedList(step.needs),
        sets: step.kind === 'end' ? [] : placedList(step.sets),
        takesSeconds: step.kind === 'end' ? null : (step.takesSeconds ?? null),
        why: step.kind === 'end' || step.why === undefined ? null : paragraph(step.why),
        tries: triesOf(step, number, numbering),
        goTo:
          step.kind === 'watch'
            ? null
            : step.kind === 'end'
              ? goToNumber(step.end === 'updated' ? firstAfter : condition, number)
              : nextOf(step, number, numbering),
        onlyFrom: reached ? null : (senders.get(number) ?? []),
      };
    }),
    ...after.map((body, index) => frame(body, firstAfter + index, 'after', index === after.length - 1)),
  ];
}
