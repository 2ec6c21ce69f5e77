// Random fleets against the judge in status-judge.ts: what happened goes through the record's own adding up on
// one side, and bare through the judge on the other. Re-run one case with
//   FLEET_SEED=<seed> npx vitest run --project default tests/unit/fleet/status-random.test.ts

import { describe, expect, it } from 'vitest';
import { routesOn } from '../../../src/fleet/routes.ts';
import { standingOf } from '../../../src/fleet/status.ts';
import type { From } from '../../../src/manifest/schema.ts';
import type { Entry } from '../../../src/ports/record-store.ts';
import { foldUnit } from '../../../src/record/fold-unit.ts';
import { catalogue, dayOf, generator, product, release } from './fleet-fixture.ts';
import { everyChain, type Happening, type JudgedRelease, judgeUnit } from './status-judge.ts';

const days = Array.from({ length: 28 }, (_, i) => `2026-10-${String(i + 1).padStart(2, '0')}`);
const revisions = ['A', 'B', 'C'];
const givenSeed = process.env.FLEET_SEED;
const seeds = givenSeed === undefined ? Array.from({ length: 12_000 }, (_, i) => i + 1) : [Number(givenSeed)];

interface Case {
  readonly releases: readonly JudgedRelease[];
  readonly hardware: string;
  readonly happenings: readonly Happening[];
  readonly day: string;
}

function randomCase(seed: number): Case {
  const random = generator(seed);
  const below = (n: number) => Math.floor(random() * n);
  const pick = <T>(from: readonly T[]): T => from[below(from.length)]!;
  const chance = (p: number) => random() < p;

  // Mostly rising versions, so that chains of stepping stones come about, in several spellings.
  const count = 1 + below(7);
  const stepping = chance(0.6);
  const versions = Array.from({ length: 9 }, (_, i) => `1.${i}`);
  const spelled = (version: string) => (chance(0.3) ? `${version}.0` : version);
  const numbers = stepping
    ? Array.from({ length: count }, (_, i) => versions[i + 1]!)
    : [...versions].sort(() => random() - 0.5).slice(0, count);
  const sequences = Array.from({ length: count }, (_, i) => 10 + i);
  if (!stepping || chance(0.2)) sequences.sort(() => random() - 0.5);

  const releases = numbers.map((version, i): JudgedRelease => {
    let from: JudgedRelease['from'] = 'any';
    if (stepping && chance(0.85)) {
      from = [spelled(versions[i]!), ...(chance(0.25) ? [spelled(pick(versions))] : [])];
    } else if (chance(0.5)) {
      from = Array.from({ length: 1 + below(3) }, () => spelled(pick(versions)));
    } else if (chance(0.6)) {
      const [low, high] = [spelled(pick(versions)), spelled(pick(versions))];
      from = chance(0.3) ? { atLeast: low } : chance(0.3) ? { below: high } : { atLeast: low, below: high };
    }
    return {
      version: spelled(version),
      sequence: sequences[i]!,
      issued: chance(0.8) ? '2026-09-01' : pick(days),
      hardware: chance(0.75) ? revisions : revisions.filter(() => chance(0.6)),
      from,
      ...(chance(0.5) ? { due: pick(days) } : {}),
      ...(chance(0.15) ? { withdrawnOn: pick(days) } : {}),
    };
  });

  let clock = Date.parse('2026-10-01T00:00:00Z');
  const happenings: Happening[] = [];
  const some = () => spelled(chance(0.5) ? pick(numbers) : pick(versions));
  const events = below(6);
  if (chance(0.8)) happenings.push(firstVersion());
  for (let i = 0; i < events; i++) happenings.push(nextHappening());
  return { releases, hardware: pick(revisions), happenings, day: chance(0.7) ? '2026-10-28' : pick(days) };

  /** Two things may be said to have happened at the same moment: then the one that was written later counts. */
  function later(): number {
    if (!chance(0.25)) clock += 3_600_000 * (1 + below(100));
    return clock;
  }
  function firstVersion(): Happening {
    const version = stepping && chance(0.7) ? versions[below(2)]! : some();
    return chance(0.5)
      ? { what: 'read', at: later(), version }
      : { what: 'reported', at: later(), version, dated: chance(0.5) };
  }
  function nextHappening(): Happening {
    const dice = random();
    if (dice < 0.15) return { what: 'reported', at: later(), version: some(), dated: chance(0.5) };
    if (dice < 0.22) return { what: 'exempt', at: later(), until: chance(0.5) ? null : pick(days) };
    if (dice < 0.25) return { what: 'exemption ends', at: later() };
    if (dice < 0.35) return { what: 'read', at: later(), version: some() };
    const kind = pick(['updated', 'updated', 'failed', 'deferred', 'already-current'] as const);
    const meant = chance(0.6) ? numbers.at(-1)! : some();
    const reads = kind === 'already-current' || chance(kind === 'updated' ? 0.5 : 0.2);
    return {
      what: 'outcome',
      at: later(),
      kind,
      ...(chance(0.9) ? { meant: spelled(meant) } : {}),
      ...(reads ? { read: spelled(kind === 'updated' || chance(0.5) ? meant : some()) } : {}),
      ...(chance(0.3) ? { left: pick(['running', 'off', 'locked-off', 'no-life']) } : {}),
    };
  }
}

function asEntry(happening: Happening, seq: number): Entry {
  const [kind, body] = kindAndBody(happening);
  return entry(kind, { serial: 'TRB1', ...body }, happening.at, seq);
}

function kindAndBody(happening: Happening): [string, Entry['body']] {
  switch (happening.what) {
    case 'read':
      return ['version-seen', { version: happening.version, evidence: 'read', dated: true }];
    case 'reported':
      return ['version-seen', { version: happening.version, evidence: 'reported', dated: happening.dated }];
    case 'exempt':
      return ['exemption-begun', { why: 'as agreed', until: happening.until }];
    case 'exemption ends':
      return ['exemption-ended', {}];
    case 'outcome': {
      const { kind, meant, read, left } = happening;
      const body = {
        outcome: kind,
        evidence: read === undefined ? 'lights' : 'read',
        ...(meant === undefined ? {} : { release: `rill-40@${meant}` }),
        ...(read === undefined ? {} : { versionRead: read }),
        ...(left === undefined ? {} : { left }),
      };
      return ['outcome', body];
    }
  }
}

function entry(kind: string, body: Entry['body'], at: number, seq: number): Entry {
  const time = new Date(at).toISOString();
  return {
    id: `e${seq}`,
    laptop: 'l1',
    seq,
    prev: '',
    hash: '',
    kind,
    kindVersion: 1,
    claimedAt: time,
    writtenAt: time,
    claimedMs: at,
    writtenMs: at,
    typedBy: 'R. Quill',
    doneBy: 'R. Quill',
    body,
  };
}

function judged({ releases, hardware, happenings, day }: Case) {
  return judgeUnit(hardware, happenings, releases, day, dayOf);
}

function computed({ releases, hardware, happenings, day }: Case) {
  const added = entry(
    'unit-added',
    { serial: 'TRB1', product: 'rill-40', hardware, site: null, details: {} },
    0,
    1,
  );
  const end = Date.parse(`${day}T00:00:00Z`) + 86_400_000;
  const entries = happenings.map((it, i) => asEntry(it, i + 2)).filter(({ claimedMs }) => claimedMs < end);
  // They come in any order: by packet, or from several laptops.
  const state = foldUnit([...entries].reverse().concat(added))!;
  const known = releases.map(({ from, ...facts }) => {
    const parsed: From =
      from === 'any'
        ? { kind: 'any' }
        : 'atLeast' in from || 'below' in from
          ? { kind: 'range', ...(from as object) }
          : { kind: 'list', versions: [...(from as readonly string[])] };
    return release({ ...facts, from: parsed });
  });
  const standing = standingOf(state, routesOn(catalogue(known, [product('rill-40', revisions)]), day));
  return {
    status: standing.status,
    late: standing.late,
    onWithdrawn: standing.onWithdrawn,
    target: standing.target?.version ?? null,
    path: standing.path.map(({ version }) => version),
  };
}

describe('random fleets', () => {
  it('agree with the judge, and reach every status and paths of one to five steps', () => {
    const seen = new Map<string, number>();
    const note = (what: string) => seen.set(what, (seen.get(what) ?? 0) + 1);
    for (const seed of seeds) {
      const made = randomCase(seed);
      const expected = judged(made);
      expect(computed(made), `FLEET_SEED=${seed}`).toEqual(expected);
      note(expected.status);
      note(`path of ${expected.path.length}`);
      if (expected.onWithdrawn) note('on withdrawn');
      if (expected.late) note('late');
      // A tie is a case with another chain of the same length, which only the tie rule can decide.
      if (expected.path.length > 1 && isTie(made)) note('tie');
      if (sameMomentDecides(made)) note('same moment');
    }
    if (givenSeed !== undefined) return;
    const must = [
      ...['current', 'to-confirm', 'due', 'overdue', 'failed', 'no-path', 'unknown', 'exempt'],
      ...[1, 2, 3, 4, 5].map((steps) => `path of ${steps}`),
      ...['on withdrawn', 'late', 'tie', 'same moment'],
    ];
    for (const what of must) expect(seen.get(what) ?? 0, what).toBeGreaterThanOrEqual(10);
  });
});

/** The sequences reversed, another chain of the same length comes out best. */
function isTie(made: Case): boolean {
  const turned = made.releases.map((one) => ({ ...one }));
  const target = judged(made).target;
  const top = turned.find(({ version }) => version === target)!;
  const usable = turned.filter(
    (one) =>
      one.issued <= made.day &&
      (one.withdrawnOn === undefined || one.withdrawnOn > made.day) &&
      one.hardware.includes(made.hardware),
  );
  const start = startOf(made);
  if (start === undefined) return false;
  const before = everyChain(start, top, usable).best;
  const flipped = usable.map((one) => (one === top ? one : { ...one, sequence: -one.sequence }));
  const after = everyChain(start, flipped.find((one) => one === top)!, flipped).best;
  return before?.map(({ version }) => version).join() !== after?.map(({ version }) => version).join();
}

/** Two happenings of one moment, the other way round, make another status. */
function sameMomentDecides(made: Case): boolean {
  const at = made.happenings.findIndex((one, i) => one.at === made.happenings[i + 1]?.at);
  if (at < 0) return false;
  const turned = made.happenings.toSpliced(at, 2, made.happenings[at + 1]!, made.happenings[at]!);
  return judged({ ...made, happenings: turned }).status !== judged(made).status;
}

/** The first version of the history, good enough to look for ties from. */
function startOf({ happenings }: Case): string | undefined {
  const first = happenings[0];
  return first !== undefined && 'version' in first ? first.version : undefined;
}
