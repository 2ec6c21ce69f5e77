// Raises n until a run survives: every write of every scenario is failed in every way. A failing case names the
// command that plays it again.

import { makeGround, runFault, type ScenarioGround } from './fault-run.ts';
import { allScenarios, type FaultScenario } from './fault-scenarios.ts';
import { type FaultKind, faultKinds } from './faulty-blocks.ts';

const mostWrites = 2000;

/** `SLOTPROOF_FAULT=littered/tear/12/1` plays that case alone. */
export function askedFault():
  | { scenario: FaultScenario; kind: FaultKind; at: number; seed: number }
  | undefined {
  const asked = process.env.SLOTPROOF_FAULT;
  if (asked === undefined) return undefined;
  const [name, kind, at, seed] = asked.split('/');
  const scenario = allScenarios.find((one) => one.name === name);
  if (scenario === undefined) throw new Error(`no scenario ${name}`);
  return { scenario, kind: kind as FaultKind, at: Number(at), seed: Number(seed) };
}

async function play(ground: ScenarioGround, kind: FaultKind, at: number, seed: number): Promise<boolean> {
  try {
    return (await runFault(ground, { kind, at, seed })).survived;
  } catch (error) {
    const id = `${ground.scenario.name}/${kind}/${at}/${seed}`;
    const again = `SLOTPROOF_FAULT=${id} npx vitest run --project default tests/faults/prepare-faults.test.ts`;
    throw new Error(`${id}: ${(error as Error).message}\nPlay it again: ${again}`, { cause: error });
  }
}

/** How many writes were failed in each way. */
export async function playFaults(
  ground: ScenarioGround,
  kinds: readonly FaultKind[] = faultKinds,
  seeds: readonly number[] = [1],
): Promise<number> {
  await runFault(ground, undefined);
  let writes = 0;
  for (const kind of kinds) {
    for (const seed of seeds) {
      for (let at = 1; !(await play(ground, kind, at, seed)); at++) {
        if (at > mostWrites)
          throw new Error(`${ground.scenario.name} does not end after ${mostWrites} writes`);
        writes = Math.max(writes, at);
      }
      // Only what chance decides is worth more than one seed.
      if (['fail', 'drop', 'dead', 'reorder'].includes(kind)) break;
    }
  }
  return writes;
}

export async function playAsked(): Promise<void> {
  const asked = askedFault();
  if (asked !== undefined) await play(makeGround(asked.scenario), asked.kind, asked.at, asked.seed);
}
