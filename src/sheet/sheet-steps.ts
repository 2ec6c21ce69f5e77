// The numbered steps of a sheet: the frame that stands around every procedure (identify, version before,
// settings; afterwards settings, service, condition, customer) and the manifest's steps between, one series of
// numbers, since numbers are what a person says over the telephone. Every name of a step becomes its number
// here. Pure values: wording and drawing are the renderers'.

import type { Pattern, Position, Product, Release, Step } from '../manifest/schema.ts';
import { sharedSteps } from '../manifest/shared-steps.ts';
import { endsTheSite } from '../procedure/site-turn.ts';
import { paragraph } from './paragraph.ts';
import type { Ending, GoTo, Placed, SheetStep, SheetStepBody, TriesLimit, WatchRow } from './sheet-step.ts';

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

const bare = {
  id: null,
  needs: [],
  sets: [],
  takesSeconds: null,
  why: null,
  tries: null,
  once: null,
  endsSite: false,
  onlyFrom: null,
};

/** The frame before: always the same two steps, and the settings where the release resets any. */
function stepsBefore(product: Product, release: Release): SheetStepBody[] {
  const bodies: SheetStepBody[] = [
    { kind: 'identify', revisions: release.hardware.filter((name) => product.hardware.includes(name)) },
    { kind: 'version-before', from: release.from },
  ];
  if (release.resets.length > 0) bodies.push({ kind: 'settings', settings: release.resets.map(paragraph) });
  return bodies;
}

/**
 * The frame afterwards: an updated unit gets its settings back, and is seen in service once more where settings
 * were touched or the procedure itself never asks; every unit gets the rest.
 */
function stepsAfter(product: Product, release: Release): SheetStepBody[] {
  const bodies: SheetStepBody[] = [];
  if (release.resets.length > 0) {
    bodies.push({ kind: 'restore', settings: release.resets.map(paragraph), notedAt: 3 });
  }
  const isSeenAlready =
    release.resets.length === 0 && product.procedure.some(({ kind }) => kind === 'confirm');
  if (product.serves.length > 0 && !isSeenAlready) {
    bodies.push({ kind: 'service', serves: product.serves.map(paragraph) });
  }
  const positions = Object.entries(product.positions).map(([name, { states }]) => ({ name, states }));
  bodies.push({ kind: 'condition', positions }, { kind: 'told' });
  return bodies;
}

export function sheetSteps(product: Product, release: Release): SheetStep[] {
  const before = stepsBefore(product, release);
  const after = stepsAfter(product, release);
  const numbering = new Numbering(product.procedure, before.length + 1);
  const { firstAfter } = numbering;
  const { opening, closing } = sharedSteps(product);
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
        once: opening.includes(step.id) ? 'first' : closing.includes(step.id) ? 'last' : null,
        endsSite: endsTheSite(product, step),
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
