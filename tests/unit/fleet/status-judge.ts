// A judge of status, target and path, written apart from the code and from the rules' own text: it works on the
// bare list of what happened, enumerates every chain of releases, and compares versions as arrays of numbers.

export interface JudgedRelease {
  readonly version: string;
  readonly sequence: number;
  readonly issued: string;
  readonly due?: string;
  readonly hardware: readonly string[];
  readonly from: 'any' | readonly string[] | { readonly atLeast?: string; readonly below?: string };
  readonly withdrawnOn?: string;
}

export type Happening =
  | { readonly what: 'read'; readonly at: number; readonly version: string }
  | { readonly what: 'reported'; readonly at: number; readonly version: string; readonly dated: boolean }
  | { readonly what: 'exempt'; readonly at: number; readonly until: string | null }
  | { readonly what: 'exemption ends'; readonly at: number }
  | {
      readonly what: 'outcome';
      readonly at: number;
      readonly kind: 'updated' | 'failed' | 'deferred' | 'already-current';
      /** The version of the release that was meant. */
      readonly meant?: string;
      readonly read?: string;
      readonly left?: string;
    };

export interface Judgement {
  readonly status: string;
  readonly late: boolean;
  readonly onWithdrawn: boolean;
  readonly target: string | null;
  readonly path: readonly string[];
}

function numbers(version: string): number[] {
  const parts = version.split('.').map(Number);
  while (parts.at(-1) === 0) parts.pop();
  return parts;
}

function order(a: string, b: string): number {
  const [x, y] = [numbers(a), numbers(b)];
  for (let i = 0; i < 10; i++) if ((x[i] ?? 0) !== (y[i] ?? 0)) return (x[i] ?? 0) - (y[i] ?? 0);
  return 0;
}

function mayFollow(release: JudgedRelease, before: string): boolean {
  if (order(release.version, before) === 0) return false;
  if (release.from === 'any') return true;
  if ('atLeast' in release.from || 'below' in release.from) {
    const { atLeast, below } = release.from;
    if (atLeast !== undefined && order(before, atLeast) < 0) return false;
    return below === undefined || order(before, below) < 0;
  }
  return (release.from as readonly string[]).some((listed) => order(listed, before) === 0);
}

/** Every chain without a release twice, one after the other; the best by length, then by sequences. */
export function everyChain(start: string, target: JudgedRelease, usable: readonly JudgedRelease[]) {
  const chains: JudgedRelease[][] = [];
  const grow = (chain: JudgedRelease[], version: string) => {
    if (chain.at(-1) === target) {
      chains.push(chain);
      return;
    }
    for (const release of usable)
      if (!chain.includes(release) && mayFollow(release, version)) grow([...chain, release], release.version);
  };
  grow([], start);
  const best = chains.reduce<JudgedRelease[] | undefined>((least, chain) => {
    if (least === undefined || chain.length < least.length) return chain;
    if (chain.length > least.length) return least;
    const at = chain.findIndex((release, i) => release !== least[i]);
    return at >= 0 && chain[at]!.sequence > least[at]!.sequence ? chain : least;
  }, undefined);
  return { best, count: chains.length };
}

export function judgeUnit(
  hardware: string,
  happenings: readonly Happening[],
  releases: readonly JudgedRelease[],
  day: string,
  dayOf: (at: number) => string,
): Judgement {
  // Of two at one moment the one written later is the latest; but only what came later in time came after.
  const history = happenings
    .filter(({ at }) => dayOf(at) <= day)
    .sort((a, b) => a.at - b.at)
    .map((it, place) => ({ ...it, place }));
  const gone = (release: JudgedRelease) =>
    release.withdrawnOn !== undefined && release.withdrawnOn.localeCompare(day) <= 0;
  const usable = releases.filter(
    (release) =>
      release.issued.localeCompare(day) <= 0 && !gone(release) && release.hardware.includes(hardware),
  );
  const target = usable.find((release) => usable.every(({ sequence }) => sequence <= release.sequence));

  // What was read counts by date; what was said counts by date too, but without a date only if nothing was read.
  const readings = history.flatMap((it) => {
    const { at, place } = it;
    if (it.what === 'read') return [{ at, place, version: it.version }];
    return it.what === 'outcome' && it.read !== undefined ? [{ at, place, version: it.read }] : [];
  });
  let known: { place: number; version: string; sure: boolean } | undefined;
  for (const { place, version } of readings) known = { place, version, sure: true };
  for (const it of history) {
    if (it.what !== 'reported') continue;
    if (!it.dated && readings.length > 0) continue;
    if (known === undefined || it.place > known.place) {
      known = { place: it.place, version: it.version, sure: false };
    }
  }

  const outcomes = history.filter((it) => it.what === 'outcome');
  const newest = outcomes.at(-1);
  const decisive = outcomes.filter(({ kind }) => kind !== 'deferred').at(-1);
  let exempt = false;
  for (const it of history) {
    if (it.what === 'exempt') exempt = it.until === null || it.until.localeCompare(day) >= 0;
    if (it.what === 'exemption ends') exempt = false;
  }

  const onWithdrawn =
    known !== undefined && releases.some((one) => gone(one) && order(one.version, known.version) === 0);
  const fine =
    known !== undefined &&
    (target === undefined
      ? !onWithdrawn
      : order(known.version, target.version) === 0 ||
        (order(known.version, target.version) > 0 &&
          !onWithdrawn &&
          releases.every(
            (one) => order(one.version, known.version) !== 0 || one.sequence >= target.sequence,
          )));
  const path =
    known === undefined || fine || target === undefined
      ? undefined
      : everyChain(known.version, target, usable).best;
  const pastDue = target?.due !== undefined && target.due.localeCompare(day) < 0;

  let status: string;
  if (
    decisive?.kind === 'failed' &&
    !(
      target !== undefined &&
      readings.some(({ at, version }) => at > decisive.at && order(version, target.version) === 0)
    )
  )
    status = 'failed';
  else if (exempt) status = 'exempt';
  else if (known === undefined) status = 'unknown';
  else if (
    (newest?.kind === 'updated' &&
      target !== undefined &&
      newest.meant !== undefined &&
      order(newest.meant, target.version) === 0 &&
      (newest.read === undefined || (newest.left ?? 'running') !== 'running') &&
      !readings.some(({ at }) => at > newest.at)) ||
    (fine && !known.sure)
  )
    status = 'to-confirm';
  else if (fine) status = 'current';
  else if (path === undefined) status = 'no-path';
  else status = pastDue ? 'overdue' : 'due';

  return {
    status,
    late: pastDue && status !== 'current',
    // Also where it was updated to one, as far as anybody saw, and was not read since.
    onWithdrawn:
      onWithdrawn ||
      (decisive?.kind === 'updated' &&
        decisive.meant !== undefined &&
        decisive.read === undefined &&
        !readings.some(({ at }) => at > decisive.at) &&
        releases.some((one) => gone(one) && order(one.version, decisive.meant!) === 0)),
    target: target?.version ?? null,
    path: path?.map(({ version }) => version) ?? [],
  };
}
