// Small random procedures, sound or not, of every kind of step, from a number: the same number, the same
// procedure. Small enough for a judge that plays every walk.

import { type Written, type WrittenStep, writtenProduct } from './written-product.ts';

/** Marsaglia's xorshift; good enough to pick from lists, and the same everywhere. */
export function randomFrom(seed: number): () => number {
  let state = (seed * 2654435761 + 88675123) | 0 || 1;
  const next = (): number => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
  for (let i = 0; i < 8; i += 1) next();
  return next;
}

/** The manifest's key. */
const onwardKey = 'then';

const positions = {
  card: { states: ['out', 'in'], starts: 'out', ends: 'out' },
  key: { states: ['run', 'idle', 'service'], starts: 'run', ends: 'idle' },
  lid: { states: ['shut', 'open'], starts: 'open', ends: 'open' },
};
const patternIds = ['loading', 'taken', 'turned-down'];

export function randomProduct(seed: number): Written {
  const random = randomFrom(seed);
  const below = (limit: number): number => Math.floor(random() * limit);
  const pick = <T>(list: readonly T[]): T => list[below(list.length)]!;
  const chance = (share: number): boolean => random() < share;
  const placing = (most: number): Record<string, string> => {
    const placed: Record<string, string> = {};
    for (let i = below(most + 1); i > 0; i -= 1) {
      const [name, { states }] = pick(Object.entries(positions));
      placed[name] = pick(states);
    }
    return placed;
  };
  const count = 3 + below(6);
  const ids = 'abcdefgh'.slice(0, count).split('');
  // Forward more often than back, so that walks get somewhere.
  const target = (at: number): string =>
    ids[chance(0.75) ? Math.min(count - 1, at + 1 + below(3)) : below(count)]!;

  const procedure = ids.map((id, at): WrittenStep => {
    const step: WrittenStep = { id };
    const kind =
      at >= count - 2 && chance(0.7)
        ? 'end'
        : pick(['do', 'do', 'wait', 'hold', 'measure', 'watch', 'watch', 'read', 'confirm', 'end']);
    if (kind === 'end') {
      step.end = pick(['updated', 'failed', 'deferred']);
      if (chance(0.5)) step.leaves = placing(2);
      return step;
    }
    if (chance(0.25)) step.needs = placing(2);
    if (chance(0.5)) step.sets = placing(2);
    if (kind === 'watch') {
      const listed = patternIds.filter(() => chance(0.6));
      if (listed.length === 0) listed.push('taken');
      step.watch = Object.fromEntries(listed.map((pattern) => [pattern, chance(0.3) ? id : target(at)]));
      step.within = pick(['5s', '90s', '10min']);
      step.late = chance(0.05) ? id : target(at);
      step.unlisted = chance(0.2) ? id : target(at);
      return step;
    }
    if (chance(0.3)) step[onwardKey] = target(at);
    if (kind === 'measure') {
      step.measure = {
        what: 'Voltage',
        in: 'V',
        from: -5,
        to: 5,
        ...(chance(0.5) && { proveMeter: true, between: ['a and b', 'b and c'] }),
      };
      step.otherwise = target(at);
    } else if (kind === 'confirm') {
      step.confirm = 'serves';
      step.otherwise = target(at);
    } else if (kind === 'read') {
      step.read = 'version';
      step.other = target(at);
      if (chance(0.5)) step.unreadable = target(at);
    } else {
      if (kind === 'do') step.do = 'Do it';
      if (kind === 'wait') step.wait = pick(['30s', '7min']);
      if (kind === 'hold') {
        step.hold = 'LOAD';
        step.for = pick(['3s', ['6s', '9s']]);
      }
      if (chance(0.35)) {
        step.tries = 1 + below(2);
        step[onwardKey] = target(chance(0.5) ? at : -1);
        step.otherwise = target(at);
      }
    }
    if (kind === 'do' && chance(0.3)) step.takes = pick(['20s', '4min']);
    return step;
  });
  const busy = (id: string): boolean => id === 'loading' || (id === 'turned-down' && seed % 3 === 0);
  return writtenProduct({
    positions,
    procedure,
    never: Array.from({ length: below(3) }, () => ({
      when: { key: pick(positions.key.states), ...placing(1) },
      why: 'No',
    })),
    whileBusy: chance(0.7) ? placing(2) : {},
    patterns: patternIds.map((id, i) => ({
      id,
      means: id,
      busy: busy(id),
      shows: { halt: { perMinute: 20 * 2 ** i } },
    })),
  });
}

/** A procedure with one thing changed at random: a branch, a need, a state set, the tries, an end. */
export function randomlyChanged(base: Written, seed: number): Written {
  const random = randomFrom(seed);
  const pick = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!;
  const product = structuredClone(base);
  const procedure = product.procedure as WrittenStep[];
  const places = Object.entries(product.positions as Record<string, { states: string[] }>);
  const step = pick(procedure);
  const [name, { states }] = pick(places);
  const branches = ['then', 'otherwise', 'late', 'unlisted', 'other', 'unreadable'].filter(
    (key) => key in step,
  );
  const anywhere = pick(procedure).id;
  const one = random();
  if (step.watch !== undefined && one < 0.4) {
    const watch = step.watch as Record<string, string>;
    watch[pick(Object.keys(watch))] = anywhere;
  } else if (branches.length > 0 && one < 0.5) step[pick(branches)] = anywhere;
  else if (step.end !== undefined && one < 0.5) step.end = pick(['updated', 'failed', 'deferred']);
  else if (step.end !== undefined) step.leaves = { ...(step.leaves as Written), [name]: pick(states) };
  else if (step.tries !== undefined && one < 0.8) step.tries = 1 + Math.floor(random() * 3);
  else if (one < 0.7) step.needs = { ...(step.needs as Written), [name]: pick(states) };
  else if (one < 0.95 || procedure.length < 3)
    step.sets = { ...(step.sets as Written), [name]: pick(states) };
  else procedure.splice(procedure.indexOf(step), 1, { id: step.id, wait: '1min' });
  return product;
}
