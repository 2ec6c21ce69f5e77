// Is a release itself going wrong? Wald's sequential probability ratio test (A. Wald, Sequential Analysis, 1947)
// on the outcomes in the order in which they happened: a failure rate of 1 % is what we live with, 5 % must be
// noticed; a good release is stopped by mistake in 5 of 100 cases, a bad one cleared by mistake in 10 of 100.
// It judges counts alone; why something failed is for people.

export type HaltVerdict = 'halt' | 'go-on' | 'no-alarm';

export interface HaltJudgement {
  readonly tried: number;
  readonly failed: number;
  readonly rule: HaltVerdict;
  /** How many had been tried when the test said halt; null where it did not. */
  readonly haltedAfter: number | null;
}

const acceptedRate = 0.01;
const unacceptableRate = 0.05;
const falseHalt = 0.05;
const falseClear = 0.1;

const slope = Math.log((1 - acceptedRate) / (1 - unacceptableRate));
const weight = Math.log((unacceptableRate * (1 - acceptedRate)) / (acceptedRate * (1 - unacceptableRate)));
/** The two boundaries are straight lines over the number tried: `d = line.s * n + line.h2` and `- line.h1`. */
export const haltLine = {
  s: slope / weight,
  h1: Math.log((1 - falseHalt) / falseClear) / weight,
  h2: Math.log((1 - falseClear) / falseHalt) / weight,
} as const;

/**
 * `failures`: one value for each unit that the release was tried on, in order, true where it failed.
 *
 * A halt is for good: what is tried after it does not take it back, or a release could be cleared by going on
 * in spite of it. A clearance is not for good: the test goes on, so that a release which begins to fail later
 * is still caught; the chance of a false halt stays below falseHalt / (1 - falseClear) however long it goes on.
 */
export function judgeRelease(failures: Iterable<boolean>): HaltJudgement {
  let tried = 0;
  let failed = 0;
  let haltedAfter: number | null = null;
  for (const failure of failures) {
    tried++;
    if (failure) failed++;
    if (haltedAfter === null && failed >= haltLine.h2 + haltLine.s * tried) haltedAfter = tried;
  }
  const cleared = failed <= haltLine.s * tried - haltLine.h1;
  const rule = haltedAfter !== null ? 'halt' : cleared ? 'no-alarm' : 'go-on';
  return { tried, failed, rule, haltedAfter };
}
