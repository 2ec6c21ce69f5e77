// The judge of the check for gaps: plays every walk of a written product, one after the other, as plain names
// and objects, and notes the fewest steps after which each fault shows. It shares no code with what it judges
// and knows no shortcut: a walk is cut only where it comes back to exactly where it has been.

import type { Written, WrittenStep } from './written-product.ts';

export interface Judged {
  /** Fewest steps done before the fault shows, by `code subject`. */
  readonly shortest: Map<string, number>;
  /** Every way of that length, as `id id id`, by the same key. */
  readonly ways: Map<string, Set<string>>;
  readonly walks: number;
  /** Different places that walks came to. */
  readonly states: number;
  /** Fewest and most seconds to each kind of end. */
  readonly seconds: Map<string, { least: number; most: number }>;
  /** False: given up after too many walks. Nothing may be concluded then. */
  readonly finished: boolean;
}

type Placing = Record<string, string>;
interface Place {
  step: string;
  positions: Placing;
  used: Record<string, number>;
  busy: boolean;
  seen: boolean;
  /** Seconds spent so far, at the least and at the most. */
  least: number;
  most: number;
}

const offTheEnd = '(off the end)';

export function judge(product: Written, mostWalks = 200_000): Judged {
  const steps = product.procedure as WrittenStep[];
  const byId = new Map(steps.map((step) => [step.id, step]));
  const positions = product.positions as Record<string, { states: string[]; starts: string; ends: string }>;
  const never = (product.never ?? []) as { when: Placing }[];
  const whileBusy = (product.whileBusy ?? {}) as Placing;
  const patterns = product.patterns as { id: string; busy?: boolean }[];
  const isBusy = (id: string): boolean => patterns.find((pattern) => pattern.id === id)?.busy === true;

  const shortest = new Map<string, number>();
  const ways = new Map<string, Set<string>>();
  const reached = new Set<string>();
  const states = new Set<string>();
  const seconds = new Map<string, { least: number; most: number }>();
  let walks = 0;
  let finished = true;

  function note(key: string, length: number, way: string[]): void {
    const best = shortest.get(key);
    if (best !== undefined && best < length) return;
    if (best === undefined || best > length) ways.set(key, new Set());
    shortest.set(key, length);
    ways.get(key)?.add(way.join(' '));
  }

  function following(step: WrittenStep): string {
    if (step.then !== undefined) return String(step.then);
    return steps[steps.indexOf(step) + 1]?.id ?? offTheEnd;
  }

  /** Where one can go from here, the step done or given up. */
  function onward(place: Place): Place[] {
    const step = byId.get(place.step);
    if (step === undefined || step.end !== undefined) return [];
    const used = place.used[step.id] ?? 0;
    if (step.tries !== undefined && used >= Number(step.tries)) {
      return [{ ...place, step: String(step.otherwise) }];
    }
    const after: Place = {
      step: '',
      positions: { ...place.positions, ...((step.sets ?? {}) as Placing) },
      used: step.tries === undefined ? place.used : { ...place.used, [step.id]: used + 1 },
      busy: place.busy,
      seen: place.seen || step.watch !== undefined || step.read !== undefined,
      least: place.least,
      most: place.most,
    };
    const [least, most] = costs(step);
    const to = (id: string, busy = after.busy, soonest = least): Place => {
      return { ...after, step: id, busy, least: place.least + soonest, most: place.most + most };
    };
    if (step.watch !== undefined) {
      const listed = Object.entries(step.watch as Placing);
      const unclear = listed.some(([pattern]) => isBusy(pattern)) ? true : after.busy;
      const result = listed
        .filter(([, id]) => id !== step.id)
        .map(([pattern, id]) => to(id, isBusy(pattern)));
      if (step.unlisted !== step.id) result.push(to(String(step.unlisted), unclear));
      result.push(to(String(step.late), unclear, most));
      return result;
    }
    if (step.measure !== undefined || step.confirm !== undefined)
      return [to(following(step)), to(String(step.otherwise))];
    if (step.read !== undefined) {
      return [to(following(step)), to(String(step.other)), to(String(step.unreadable ?? following(step)))];
    }
    return [to(following(step))];
  }

  /** As the sheet tells it: what is stated, else two minutes for a `do`, ten seconds for a look, and so on. */
  function costs(step: WrittenStep): [number, number] {
    if (step.watch !== undefined) return [Math.min(10, time(step.within)), time(step.within)];
    if (step.wait !== undefined) return [time(step.wait), time(step.wait)];
    if (step.hold !== undefined) {
      const [shortest, longest] = Array.isArray(step.for) ? step.for : [step.for, step.for];
      return [time(shortest), time(longest)];
    }
    if (step.takes !== undefined) return [time(step.takes), time(step.takes)];
    if (step.measure !== undefined) {
      const { between, proveMeter } = step.measure as { between?: string[]; proveMeter?: boolean };
      const whole = 60 + 30 * (between?.length ?? 1) + (proveMeter === true ? 60 : 0);
      return [whole, whole];
    }
    if (step.read !== undefined) return [60, 60];
    if (step.confirm !== undefined)
      return [60 * (product.serves as string[]).length, 60 * (product.serves as string[]).length];
    return [120, 120];
  }

  function time(written: unknown): number {
    const [, amount, unit] = /^(\d+)(s|min)$/.exec(String(written)) ?? [];
    return Number(amount) * (unit === 'min' ? 60 : 1);
  }

  function arrive(place: Place, trail: string[], been: string[], beenControl: string[]): void {
    if (walks >= mostWalks) {
      finished = false;
      return;
    }
    const length = trail.length;
    const step = byId.get(place.step);
    const here = [...trail, place.step];
    reached.add(place.step);
    for (const [index, { when }] of never.entries()) {
      if (Object.entries(when).every(([name, state]) => place.positions[name] === state))
        note(`never-true ${index}`, length, trail);
    }
    if (place.busy) {
      for (const [name, state] of Object.entries(whileBusy)) {
        if (place.positions[name] !== state) note(`busy-broken ${name}`, length, trail);
      }
    }
    if (place.step === offTheEnd) note('runs-off', length, trail);
    for (const [name, state] of Object.entries((step?.needs ?? {}) as Placing)) {
      if (place.positions[name] !== state) note(`needs-fails ${place.step} ${name}`, length, here);
    }
    if (step?.end !== undefined) {
      const leaves = (step.leaves ?? {}) as Placing;
      for (const [name, { ends }] of Object.entries(positions)) {
        if (place.positions[name] !== (leaves[name] ?? ends))
          note(`end-state ${place.step} ${name}`, length, here);
      }
      const best = seconds.get(String(step.end)) ?? { least: Number.POSITIVE_INFINITY, most: 0 };
      seconds.set(String(step.end), {
        least: Math.min(best.least, place.least),
        most: Math.max(best.most, place.most),
      });
      if (step.end === 'updated' && !place.seen) note(`update-unseen ${place.step}`, length, here);
    }
    const control = `${place.step} ${JSON.stringify(Object.entries(place.used).sort())}`;
    if (beenControl.includes(control)) note('loop-unbounded', length, here);
    const state = JSON.stringify([
      place.step,
      place.positions,
      Object.entries(place.used).sort(),
      place.busy,
      place.seen,
    ]);
    states.add(state);
    if (been.includes(state)) {
      walks += 1;
      return;
    }
    const next = onward(place);
    if (next.length === 0) walks += 1;
    for (const each of next) arrive(each, here, [...been, state], [...beenControl, control]);
  }

  const starts = Object.fromEntries(
    Object.entries(positions).map(([name, position]) => [name, position.starts]),
  );
  arrive(
    {
      step: steps[0]?.id ?? offTheEnd,
      positions: starts,
      used: {},
      busy: false,
      seen: false,
      least: 0,
      most: 0,
    },
    [],
    [],
    [],
  );

  for (const { id } of steps) if (!reached.has(id)) note(`step-unreachable ${id}`, 0, []);
  for (const kind of ['updated', 'failed']) {
    if (!steps.some((step) => step.end === kind && reached.has(step.id))) note(`end-missing ${kind}`, 0, []);
  }
  const last = steps[steps.length - 1];
  if (
    last !== undefined &&
    !reached.has(last.id) &&
    last.end === undefined &&
    last.watch === undefined &&
    last.then === undefined
  ) {
    note('runs-off', -1, []);
  }
  return { shortest, ways, walks, states: states.size, seconds, finished };
}
