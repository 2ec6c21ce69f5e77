// The judge of what a stop prints: it plays the steps of a written product itself, as plain names, from where a
// walk is, along every way that the printed order allows, and says what is wrong with it. It shares no code with
// what it judges.

import type { Written, WrittenStep } from '../written-product.ts';

type Placing = Record<string, string>;

export interface Place {
  readonly step: string;
  readonly positions: Placing;
  readonly used: Readonly<Record<string, number>>;
  readonly busy: boolean;
  /** A watch or a read lies behind. */
  readonly seen: boolean;
}

/** One way out of a step, by the walk's own words for it. */
export interface Way {
  readonly reason: string;
  readonly pattern?: string;
}

export interface PrintedStep {
  readonly id: string;
  readonly exits: readonly (Way & { readonly to: string })[];
}

export interface Judge {
  begin(): Place;
  /** Every way out of a place, and where it leads. */
  ways(place: Place): { way: Way; place: Place }[];
  /** What is wrong with it, in words; none where it may be printed. */
  faults(from: Place, order: readonly PrintedStep[]): string[];
  /** The steps that an order from here may consist of; null where there must be none. */
  expected(from: Place): Set<string> | null;
  watchesWriting(step: string): boolean;
}

export function orderJudge(product: Written): Judge {
  const steps = product.procedure as WrittenStep[];
  const byId = new Map(steps.map((step) => [step.id, step]));
  const axes = product.positions as Record<string, { starts: string; ends: string }>;
  const never = (product.never ?? []) as { when: Placing }[];
  const whileBusy = (product.whileBusy ?? {}) as Placing;
  const busyPatterns = new Set(
    (product.patterns as { id: string; busy?: boolean }[]).filter(({ busy }) => busy).map(({ id }) => id),
  );
  const is = (positions: Placing, placing: Placing) =>
    Object.entries(placing).every(([name, state]) => positions[name] === state);

  const watchesWriting = (id: string): boolean => {
    const watch = byId.get(id)?.watch as Placing | undefined;
    if (watch === undefined) return false;
    return busyPatterns.size === 0 || Object.keys(watch).some((pattern) => busyPatterns.has(pattern));
  };
  const nextOf = (step: WrittenStep): string =>
    step.then === undefined ? steps[steps.indexOf(step) + 1]!.id : String(step.then);

  function ways(place: Place): { way: Way; place: Place }[] {
    const step = byId.get(place.step)!;
    if (step.end !== undefined) return [];
    const used = place.used[step.id] ?? 0;
    if (step.tries !== undefined && used >= Number(step.tries)) {
      return [{ way: { reason: 'no-tries-left' }, place: { ...place, step: String(step.otherwise) } }];
    }
    const after = {
      positions: { ...place.positions, ...((step.sets ?? {}) as Placing) },
      used: step.tries === undefined ? place.used : { ...place.used, [step.id]: used + 1 },
      seen: place.seen || step.watch !== undefined || step.read !== undefined,
    };
    const to = (reason: string, id: unknown, busy = place.busy, pattern?: string) => ({
      way: { reason, ...(pattern !== undefined && { pattern }) },
      place: { ...after, step: String(id), busy },
    });
    if (step.watch !== undefined) {
      const listed = Object.entries(step.watch as Placing);
      const unclear = listed.some(([pattern]) => busyPatterns.has(pattern)) || place.busy;
      return [
        ...listed
          .filter(([, id]) => id !== step.id)
          .map(([pattern, id]) => to('lights', id, busyPatterns.has(pattern), pattern)),
        ...(step.unlisted === step.id ? [] : [to('unlisted', step.unlisted, unclear)]),
        to('late', step.late, unclear),
      ];
    }
    if (step.measure !== undefined || step.confirm !== undefined) {
      return [to('passes', nextOf(step)), to('does-not-pass', step.otherwise)];
    }
    if (step.read !== undefined) {
      return [
        to('release-version', nextOf(step)),
        to('other-version', step.other),
        to('unreadable', step.unreadable ?? nextOf(step)),
      ];
    }
    return [to('done', nextOf(step))];
  }

  function broken(place: Place): string[] {
    const step = byId.get(place.step)!;
    const lines: string[] = [];
    if (!is(place.positions, (step.needs ?? {}) as Placing)) lines.push(`${step.id}: its needs do not hold`);
    for (const { when } of never)
      if (is(place.positions, when)) lines.push(`${step.id}: what must never be, is`);
    if (place.busy && !is(place.positions, whileBusy)) lines.push(`${step.id}: whileBusy is broken`);
    if (step.end !== undefined) {
      const leaves = (step.leaves ?? {}) as Placing;
      for (const [name, { ends }] of Object.entries(axes)) {
        if (place.positions[name] !== (leaves[name] ?? ends))
          lines.push(`${step.id}: ${name} is left elsewhere`);
      }
    }
    if (watchesWriting(step.id)) lines.push(`${step.id}: the unit writes on this way`);
    return lines;
  }

  function play(from: Place, each: (place: Place) => boolean): void {
    const seen = new Set<string>();
    const queue = [from];
    while (queue.length > 0) {
      const place = queue.pop()!;
      const key = JSON.stringify([
        place.step,
        Object.entries(place.positions).sort(),
        Object.entries(place.used).sort(),
        place.busy,
      ]);
      if (seen.has(key)) continue;
      seen.add(key);
      if (!each(place)) return;
      for (const way of ways(place)) queue.push(way.place);
    }
  }

  /** The steps to be done on some way from here, and where each way out of them leads. */
  function waysFrom(from: Place) {
    const all = new Map<string, Set<string>>();
    play(from, (place) => {
      const here = all.get(place.step) ?? new Set<string>();
      all.set(place.step, here);
      for (const { way, place: to } of ways(place))
        here.add(JSON.stringify([way.reason, way.pattern, to.step]));
      return true;
    });
    // A step that is never done on these ways, since its tries are used up, is named by nobody.
    const spent = new Map<string, string>();
    for (const [id, here] of all) {
      const [reason, , to] = here.size === 1 ? JSON.parse([...here][0]!) : [];
      if (reason === 'no-tries-left') spent.set(id, to);
    }
    const past = (id: string): string => (spent.has(id) ? past(spent.get(id)!) : id);
    const reached = new Set([...all.keys()].filter((id) => !spent.has(id)));
    const exits = new Set<string>();
    for (const id of reached) {
      for (const way of all.get(id)!) {
        const [reason, pattern, to] = JSON.parse(way);
        exits.add(JSON.stringify([id, reason, pattern, past(to)]));
      }
    }
    return { reached, exits, past };
  }

  return {
    begin: () => ({
      step: steps[0]!.id,
      positions: Object.fromEntries(Object.entries(axes).map(([name, { starts }]) => [name, starts])),
      used: {},
      busy: false,
      seen: false,
    }),
    ways,
    watchesWriting,
    faults(from, order) {
      const lines = new Set<string>();
      const listed = new Map(order.map((step) => [step.id, step]));
      if (listed.size !== order.length) lines.add('a step stands twice');
      const { reached, exits, past } = waysFrom(from);
      if (order[0]?.id !== past(from.step)) lines.add(`it does not begin at ${from.step}`);
      play(from, (place) => {
        for (const line of broken(place)) lines.add(line);
        return true;
      });
      for (const id of reached) if (!listed.has(id)) lines.add(`${id} is on the way and is not printed`);
      for (const { id, exits: printed } of order) {
        if (!reached.has(id)) lines.add(`${id} is printed, and is not to be done on any way`);
        for (const { reason, pattern, to } of printed) {
          if (!exits.delete(JSON.stringify([id, reason, pattern, to])))
            lines.add(`${id} does not lead to ${to} by ${reason}`);
        }
      }
      for (const left of exits) lines.add(`not printed: ${left}`);
      return [...lines];
    },
    expected(from) {
      let clean = true;
      play(from, (place) => {
        const step = byId.get(place.step)!;
        const looks = (step.watch ?? step.read) !== undefined;
        clean = broken(place).length === 0 && !(looks && !from.seen);
        return clean;
      });
      return clean ? waysFrom(from).reached : null;
    },
  };
}
