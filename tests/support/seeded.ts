// Runs of fast-check that can be repeated: every run has a seed of its own, a failing one prints the seed, the
// path and the command that runs that case again (SLOTPROOF_SEED, SLOTPROOF_PATH).

import fc from 'fast-check';

export async function checkSeeded<T extends unknown[]>(
  file: string,
  numRuns: number,
  property: fc.IAsyncProperty<T> | fc.IProperty<T>,
): Promise<void> {
  const seed = Number(process.env.SLOTPROOF_SEED ?? Math.trunc(Math.random() * 2 ** 31));
  const path = process.env.SLOTPROOF_PATH;
  const result = await fc.check(property as fc.IAsyncProperty<T>, {
    seed,
    numRuns,
    ...(path === undefined ? {} : { path }),
  });
  if (!result.failed) return;
  const cause = result.errorInstance;
  throw new Error(
    `${cause instanceof Error ? cause.message : ''}\n${fc.defaultReportMessage(result)}\nRun it again: SLOTPROOF_SEED=${seed} SLOTPROOF_PATH=${result.counterexamplePath} npx vitest run ${file}`,
    { cause },
  );
}
