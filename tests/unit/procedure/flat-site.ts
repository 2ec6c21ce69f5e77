// Two units of a site written out as one procedure: every step of each by a name of its own, the steps that are done
// once for the site where they are done, the positions of each unit beside those of the site. Whoever judges a
// procedure can judge that one. Made from the manifest as written; knows nothing of the code that it judges.

import type { Written, WrittenStep } from './written-product.ts';

type Placing = Record<string, string>;
interface WrittenPosition {
  states: string[];
  starts: string;
  ends: string;
}

export function flatSite(product: Written): Written {
  const procedure = product.procedure as WrittenStep[];
  const positions = product.positions as Record<string, WrittenPosition>;
  const never = (product.never ?? []) as { when: Placing; why: string }[];
  const site = new Set(
    procedure
      .filter((step) => step.oncePerSite === true)
      .flatMap((step) => Object.keys((step.sets ?? {}) as Placing)),
  );
  const firstOwn = procedure.findIndex((step) => step.oncePerSite !== true);
  const own = (unit: string, name: string) => (site.has(name) ? name : `${unit}-${name}`);
  const placed = (unit: string, placing: unknown): Placing =>
    Object.fromEntries(
      Object.entries((placing ?? {}) as Placing).map(([name, state]) => [own(unit, name), state]),
    );
  const isDone = (unit: string, step: WrittenStep) =>
    step.oncePerSite !== true || (procedure.indexOf(step) < firstOwn ? unit === 'a' : unit === 'b');
  const lead = (unit: string, id: unknown): string => {
    let at = procedure.findIndex((step) => step.id === id);
    while (!isDone(unit, procedure[at]!)) at += 1;
    return `${unit}-${procedure[at]!.id}`;
  };
  const firstOf = (unit: string) => `${unit}-${procedure.find((step) => isDone(unit, step))!.id}`;
  const isFinal = (step: WrittenStep) =>
    Object.keys((step.leaves ?? {}) as Placing).some((name) => site.has(name));

  const steps = ['a', 'b'].flatMap((unit) =>
    procedure
      .filter((step) => isDone(unit, step))
      .map((step): WrittenStep => {
        const { oncePerSite: _, ...rest } = step;
        const flat: WrittenStep = { ...rest, id: `${unit}-${step.id}` };
        for (const key of ['needs', 'sets', 'leaves']) if (key in step) flat[key] = placed(unit, step[key]);
        for (const key of ['then', 'otherwise', 'late', 'unlisted', 'other', 'unreadable'])
          if (key in step) flat[key] = lead(unit, step[key]);
        if ('watch' in step) {
          flat.watch = Object.fromEntries(
            Object.entries(step.watch as Placing).map(([pattern, id]) => [pattern, lead(unit, id)]),
          );
        }
        if (!('end' in step) || unit === 'b' || isFinal(step)) return flat;
        // The first unit is left: what its end must find, it must find here; the next one is begun.
        const found = Object.fromEntries(
          Object.entries(positions)
            .filter(([name]) => !site.has(name))
            .map(([name, { ends }]) => [own(unit, name), ((step.leaves ?? {}) as Placing)[name] ?? ends]),
        );
        const onward = Object.fromEntries([['then', firstOf('b')]]);
        return { id: flat.id, do: 'Go to the next unit', needs: found, ...onward };
      }),
  );
  return {
    ...product,
    procedure: steps,
    whileBusy: {},
    positions: Object.fromEntries(
      Object.entries(positions).flatMap(([name, position]) =>
        site.has(name) ? [[name, position]] : ['a', 'b'].map((unit) => [`${unit}-${name}`, position]),
      ),
    ),
    never: never.flatMap(({ when, why }) =>
      Object.keys(when).every((name) => site.has(name))
        ? [{ when, why }]
        : ['a', 'b'].map((unit) => ({ when: placed(unit, when), why })),
    ),
  };
}

/** A judge's key for the flat procedure, as one of the procedure itself; undefined for what is only the flat one's. */
export function unflattened(key: string, product: Written): string | undefined {
  const never = (product.never ?? []) as { when: Placing }[];
  const [code, subject, position] = key.split(' ');
  const plain = (name = '') => name.replace(/^[ab]-/, '');
  if (code === 'never-true') {
    const flat = (flatSite(product).never as { when: Placing }[])[Number(subject)]!;
    const names = (when: Placing) =>
      JSON.stringify(Object.entries(when).map(([name, state]) => [plain(name), state]));
    return `never-true ${never.findIndex(({ when }) => names(when) === names(flat.when))}`;
  }
  const step = (product.procedure as WrittenStep[]).find(({ id }) => id === plain(subject));
  if (code === 'needs-fails' && step !== undefined && 'end' in step)
    return `end-state ${step.id} ${plain(position)}`;
  // How the first unit was left is no fault of the end at which the second one is.
  if (code === 'end-state' && position?.startsWith('a-') && subject?.startsWith('b-')) return undefined;
  if (code === 'end-state' && position?.startsWith('b-') && subject?.startsWith('a-')) return undefined;
  if (code === 'needs-fails' || code === 'end-state') return `${code} ${plain(subject)} ${plain(position)}`;
  return undefined;
}
