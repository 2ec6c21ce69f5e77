// By when will the rest be done? The weekly successes so far are taken as draws of a negative binomial (of a
// Poisson where they scatter no more than one), whose sum over w weeks is one again; what is told is the number
// of weeks by which the rest is done with 50 % and with 90 %. Holidays, weather and parts are not in it.

export interface WeeksLeft {
  readonly p50: number;
  readonly p90: number;
}

/** Fewer weeks say nothing about how much they scatter. */
export const minWeeks = 3;
/** Ten years: further ahead nothing is told. */
export const maxWeeks = 520;

/** null where it cannot be said: too few weeks, no success in them, or further ahead than ten years. */
export function forecastWeeks(rest: number, weekly: readonly number[]): WeeksLeft | null {
  if (rest <= 0) return { p50: 0, p90: 0 };
  if (weekly.length < minWeeks) return null;
  const mean = weekly.reduce((sum, count) => sum + count, 0) / weekly.length;
  if (mean === 0) return null;
  const variance = weekly.reduce((sum, count) => sum + (count - mean) ** 2, 0) / (weekly.length - 1);
  const p50 = weeksUntil(rest, 0.5, mean, variance);
  const p90 = weeksUntil(rest, 0.9, mean, variance);
  return p50 === undefined || p90 === undefined ? null : { p50, p90 };
}

/** The fewest weeks whose successes reach `rest` with at least this chance; more weeks never lower the chance. */
function weeksUntil(rest: number, chance: number, mean: number, variance: number): number | undefined {
  const reached = (weeks: number) => chanceOfAtLeast(rest, weeks, mean, variance) >= chance;
  if (!reached(maxWeeks)) return undefined;
  let tooFew = 0;
  let enough = maxWeeks;
  while (enough - tooFew > 1) {
    const middle = Math.floor((tooFew + enough) / 2);
    if (reached(middle)) enough = middle;
    else tooFew = middle;
  }
  return enough;
}

/** P(successes in `weeks` >= rest), from the sum of the terms below `rest`, in logarithms against underflow. */
function chanceOfAtLeast(rest: number, weeks: number, mean: number, variance: number): number {
  const sizePerWeek = variance > mean ? mean ** 2 / (variance - mean) : Number.POSITIVE_INFINITY;
  const size = sizePerWeek * weeks;
  const expected = mean * weeks;
  const isPoisson = !Number.isFinite(size);
  let logTerm = isPoisson ? -expected : -size * Math.log1p(expected / size);
  const logFactor = isPoisson ? Math.log(expected) : -Math.log1p(size / expected);
  let below = 0;
  for (let count = 0; count < rest; count++) {
    below += Math.exp(logTerm);
    logTerm += logFactor + Math.log(isPoisson ? 1 : size + count) - Math.log(count + 1);
  }
  return 1 - below;
}
