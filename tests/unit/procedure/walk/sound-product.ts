// Random procedures that are sound by the way they are made: positions are followed as the steps are written, so
// that every `needs`, `never`, `whileBusy` and `leaves` is one that holds. From a number: the same number, the
// same procedure. The rare one that has no `updated` or no `failed` end is for the caller to leave out.

import { randomFrom } from '../random-product.ts';
import { type Written, type WrittenStep, writtenProduct } from '../written-product.ts';

type Placing = Record<string, string>;

interface Block {
  readonly id: string;
  readonly positions: Placing;
  readonly busy: boolean;
  readonly seen: boolean;
  readonly depth: number;
}

const axes: Record<string, { states: string[]; starts: string; ends: string }> = {
  array: { states: ['connected', 'isolated'], starts: 'connected', ends: 'connected' },
  supply: { states: ['off', 'on'], starts: 'off', ends: 'off' },
  key: { states: ['run', 'idle', 'service'], starts: 'run', ends: 'run' },
  card: { states: ['out', 'in'], starts: 'out', ends: 'out' },
};
const whileBusy: Placing = { card: 'in', supply: 'on' };
const mostDepth = 4;
/** The manifest's key. */
const onwardKey = 'then';

export function soundProduct(seed: number): Written {
  const random = randomFrom(seed);
  const below = (limit: number): number => Math.floor(random() * limit);
  const pick = <T>(list: readonly T[]): T => list[below(list.length)]!;
  const chance = (share: number): boolean => random() < share;
  const procedure: WrittenStep[] = [];
  const queue: Block[] = [];
  const met: Placing[] = [];
  let blocks = 0;

  const branch = (positions: Placing, busy: boolean, seen: boolean, depth: number): string => {
    blocks += 1;
    const block = { id: `b${blocks}`, positions: { ...positions }, busy, seen, depth };
    queue.push(block);
    return block.id;
  };
  const some = (positions: Placing): Placing =>
    Object.fromEntries(Object.entries(positions).filter(() => chance(0.3)));
  const change = (positions: Placing, busy: boolean): Placing => {
    const free = Object.keys(axes).filter((name) => !busy || whileBusy[name] === undefined);
    const sets: Placing = {};
    for (let i = 1 + below(2); i > 0; i -= 1) {
      const name = pick(free);
      const others = axes[name]!.states.filter((state) => state !== positions[name]);
      sets[name] = pick(others);
    }
    return sets;
  };

  const write = (block: Block): void => {
    let { positions, busy, seen } = block;
    const { depth } = block;
    let id = block.id;
    const before = new Map<string, string>();
    // Past a size that anybody would write, branches end at once.
    const length = depth >= mostDepth || procedure.length > 60 ? 0 : 2 + below(4);
    for (let n = 1; n <= length; n += 1) {
      const key = JSON.stringify([Object.entries(positions).sort(), busy]);
      const step: WrittenStep = { id };
      if (chance(0.4)) {
        const needs = some(positions);
        if (Object.keys(needs).length > 0) step.needs = needs;
      }
      met.push({ ...positions });
      const back = before.get(key);
      before.set(key, id);
      const kind = pick([
        'do',
        'do',
        'do',
        'do',
        'wait',
        'hold',
        'measure',
        'watch',
        'read',
        'confirm',
        'retry',
      ]);
      const after = { ...positions };
      if (kind === 'retry' && back !== undefined) {
        Object.assign(step, { do: `Once more ${id}`, [onwardKey]: back, tries: 1 + below(2) });
        step.otherwise = branch(positions, busy, seen, depth + 1);
        procedure.push(step);
        return;
      }
      if (kind === 'wait') Object.assign(step, { wait: '2min', orPlate: chance(0.5) });
      else if (kind === 'hold') Object.assign(step, { hold: 'LOAD', for: ['5s', '8s'] });
      else if (kind === 'measure') {
        const proveMeter = chance(0.5);
        step.measure = {
          what: `Voltage ${id}`,
          between: ['plus and minus'],
          in: 'V',
          from: -50,
          to: 50,
          proveMeter,
        };
        step.otherwise = branch(positions, busy, seen, depth + 1);
      } else if (
        kind === 'watch' &&
        (!busy || Object.entries(whileBusy).every(([n, s]) => positions[n] === s))
      ) {
        const writes =
          Object.entries(whileBusy).every(([name, state]) => positions[name] === state) && chance(0.8);
        const unclear = writes || busy;
        step.watch = {
          ...(writes && { loading: chance(0.8) ? id : branch(positions, true, true, depth + 1) }),
          taken: branch(positions, false, true, depth + 1),
          'turned-down': branch(positions, false, true, depth + 1),
        };
        step.within = '10min';
        step.late = branch(positions, unclear, true, depth + 1);
        step.unlisted = chance(0.3) ? id : branch(positions, unclear, true, depth + 1);
        procedure.push(step);
        return;
      } else if (kind === 'read') {
        seen = true;
        step.read = 'version';
        step.other = branch(positions, busy, true, depth + 1);
        if (chance(0.5)) step.unreadable = branch(positions, busy, true, depth + 1);
      } else if (kind === 'confirm') {
        step.confirm = 'serves';
        step.otherwise = branch(positions, busy, seen, depth + 1);
      } else {
        step.do = `Do ${id}`;
        step.sets = change(positions, busy);
        Object.assign(after, step.sets);
      }
      procedure.push(step);
      positions = after;
      id = `${block.id}-${n}`;
    }
    met.push({ ...positions });
    const leaves = Object.fromEntries(
      Object.entries(positions).filter(([name, state]) => axes[name]!.ends !== state),
    );
    procedure.push({
      id,
      end: seen && !busy && chance(0.5) ? 'updated' : busy || chance(0.6) ? 'failed' : 'deferred',
      ...(Object.keys(leaves).length > 0 && { leaves }),
    });
  };

  branch(
    Object.fromEntries(Object.entries(axes).map(([name, { starts }]) => [name, starts])),
    false,
    false,
    0,
  );
  while (queue.length > 0) write(queue.shift()!);

  const never = Array.from({ length: 6 }, () => {
    const [one, other] = [pick(Object.keys(axes)), pick(Object.keys(axes))];
    return {
      when: { [one]: pick(axes[one]!.states), [other]: pick(axes[other]!.states) },
      why: 'It must not be',
    };
  }).filter(
    ({ when }) => !met.some((at) => Object.entries(when).every(([name, state]) => at[name] === state)),
  );
  return writtenProduct({ positions: axes, never, whileBusy, procedure });
}
