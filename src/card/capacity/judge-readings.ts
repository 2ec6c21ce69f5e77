// What a card gave back, judged: unit by unit against what was written there, and all readings together. A card that holds
// less than it claims answers in a few ways: with what belongs elsewhere (its addresses begin again), with nothing of what
// was written beyond some place, or only with what was written last. Everything else that differs is a card that fails.

import type { KeyedStream } from '../../bytes/keyed-stream.ts';
import { unitBytes } from './free-space.ts';

/** Units that follow each other and answered alike. */
export interface Reading {
  readonly offsetBytes: number;
  readonly lengthBytes: number;
  /** When it was written: higher is later. */
  readonly order: number;
  /** Its place was drawn by chance, so it speaks for all the space. */
  readonly drawn: boolean;
  readonly good: boolean;
  /** Bad: where what was read belongs; null where it is nothing of this run's. */
  readonly from: number | null;
}

/** Readings of `bytes`, which were read at `offsetBytes`; whole units. */
export function judgeUnits(
  stream: KeyedStream,
  offsetBytes: number,
  bytes: Uint8Array,
  facts: Pick<Reading, 'order' | 'drawn'>,
): Reading[] {
  const expected = new Uint8Array(bytes.length);
  stream.fill(offsetBytes, expected);
  if (Buffer.compare(expected, bytes) === 0)
    return [{ offsetBytes, lengthBytes: bytes.length, ...facts, good: true, from: null }];
  const readings: Reading[] = [];
  for (let at = 0; at < bytes.length; at += unitBytes) {
    const unit = bytes.subarray(at, at + unitBytes);
    const good = Buffer.compare(expected.subarray(at, at + unitBytes), unit) === 0;
    const place = good ? undefined : stream.placeOf(unit);
    // The right place and wrong bytes behind it: a bit that changed, not another address.
    const from = place === undefined || place === offsetBytes + at ? null : place;
    const last = readings.at(-1);
    const goesOn =
      last !== undefined &&
      last.good === good &&
      (last.from === null ? from === null : from === last.from + last.lengthBytes);
    if (last !== undefined && goesOn)
      readings[readings.length - 1] = { ...last, lengthBytes: last.lengthBytes + unit.length };
    else readings.push({ offsetBytes: offsetBytes + at, lengthBytes: unit.length, ...facts, good, from });
  }
  return readings;
}

export interface CapacityJudgement {
  readonly verdict: 'holds' | 'false-capacity' | 'failing';
  /** What it holds as far as can be told; null: it fails, and nobody can say how much of it is good. */
  readonly realBytes: number | null;
  /** `begins-again`: its addresses; `loses`: what lies beyond; `keeps-last`: only what was written last. */
  readonly how: 'begins-again' | 'loses' | 'keeps-last' | null;
  /** The lowest bad place, and the lowest good one above which all is bad, where there are such. */
  readonly firstBad: number | null;
  readonly lastGood: number | null;
}

/** So many readings in a hundred may speak against the end of a card: a table at each chip's start may be held. */
const allowedStrays = 0.05;
/** Addresses that begin again after less than this are no addresses. */
export const leastRealBytes = 2 ** 20;

function greatestCommonDivisor(a: number, b: number): number {
  let [high, low] = [a, b];
  while (low > 0) [high, low] = [low, high % low];
  return high;
}

export function judgeReadings(readings: readonly Reading[], sizeBytes: number): CapacityJudgement {
  const bad = readings.filter(({ good }) => !good);
  const good = readings.filter((one) => one.good);
  const nothing = { how: null, firstBad: null, lastGood: null } as const;
  if (bad.length === 0) return { ...nothing, verdict: 'holds', realBytes: sizeBytes };
  const firstBad = Math.min(...bad.map(({ offsetBytes }) => offsetBytes));

  const wrapped = bad.flatMap(({ from, offsetBytes }) =>
    from === null ? [] : [Math.abs(from - offsetBytes)],
  );
  const step = wrapped.reduce(greatestCommonDivisor, 0);
  if (step >= leastRealBytes && wrapped.length === bad.length)
    return { ...nothing, verdict: 'false-capacity', realBytes: step, how: 'begins-again', firstBad };

  const newestBad = Math.max(...bad.map(({ order }) => order));
  const kept = good.filter(({ order }) => order >= newestBad);
  if (bad.length >= 3 && kept.length === good.length) {
    const realBytes = kept.reduce((sum, { lengthBytes }) => sum + lengthBytes, 0);
    return { ...nothing, verdict: 'false-capacity', realBytes, how: 'keeps-last', firstBad };
  }
  const end = likelyEnd(readings);
  if (end !== undefined)
    return {
      verdict: 'false-capacity',
      realBytes: end.bytes,
      how: 'loses',
      firstBad: end.bytes,
      lastGood: end.lastGood,
    };
  // Some come from elsewhere and some do not: its addresses begin again, and what lay there was changed meanwhile.
  if (step >= leastRealBytes && wrapped.length >= 3)
    return { ...nothing, verdict: 'false-capacity', realBytes: step, how: 'begins-again', firstBad };
  return { ...nothing, verdict: 'failing', realBytes: null, firstBad };
}

/** The place from which on all but a few are bad, and before which all but a few are good. */
function likelyEnd(
  readings: readonly Reading[],
): { readonly bytes: number; readonly lastGood: number } | undefined {
  const sorted = readings.filter(({ drawn }) => drawn).sort((a, b) => a.offsetBytes - b.offsetBytes);
  let badBefore = 0;
  let goodAfter = sorted.filter(({ good }) => good).length;
  let best: { index: number; strays: number } | undefined;
  sorted.forEach(({ good }, index) => {
    const strays = badBefore + goodAfter;
    if (!good && (best === undefined || strays < best.strays)) best = { index, strays };
    if (good) goodAfter--;
    else badBefore++;
  });
  if (best === undefined) return undefined;
  const after = sorted.length - best.index;
  if (after < 3 || best.strays > after * allowedStrays) return undefined;
  const before = sorted[best.index - 1];
  const lastGood = before === undefined ? 0 : before.offsetBytes + before.lengthBytes;
  return { bytes: sorted[best.index]?.offsetBytes ?? 0, lastGood };
}
