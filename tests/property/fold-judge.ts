// What a unit's entries add up to, worked out a second time and another way: each field asks the whole heap of
// entries its own question, without ever going through them in order. Slow, and shares nothing with the fold.

import type { Entry } from '../../src/ports/record-store.ts';

type Body = Record<string, any>;

const key = (entry: Entry) =>
  [entry.claimedMs, entry.writtenMs].map((ms) => String(ms).padStart(16, '0')).join() +
  entry.laptop.padEnd(20) +
  String(entry.seq).padStart(9, '0');

/** The one of these that counts last. */
function newest(entries: readonly Entry[]): Entry | undefined {
  let best: Entry | undefined;
  for (const entry of entries) if (best === undefined || key(entry) > key(best)) best = entry;
  return best;
}

/** The value that the newest of those entries which say something of it says. */
function lastSaid<T>(
  entries: readonly Entry[],
  says: (body: Body, kind: string) => T | undefined,
): T | undefined {
  const speaking = newest(entries.filter((entry) => says(entry.body, entry.kind) !== undefined));
  return speaking === undefined ? undefined : says(speaking.body, speaking.kind);
}

/**
 * What stands after corrections. Each entry asks every correction whether it is meant; the last written of those that
 * mean it is the one before which no other comes.
 */
function standing(all: readonly Entry[]): Entry[] {
  const written = (entry: Entry) => String(entry.writtenMs).padStart(16, '0') + key(entry).slice(33);
  return all.flatMap((entry) => {
    if (entry.kind === 'correction') return [];
    const meant = all.filter((one) => {
      const { corrects, kind, serial, body } = one.body as Body;
      if (one.kind !== 'correction' || one.kindVersion !== 1) return false;
      const names = `${corrects.id} ${corrects.hash} ${kind} ${serial} ${body === undefined ? serial : body.serial}`;
      const { id, hash, body: own } = entry;
      return names === `${id} ${hash} ${entry.kind} ${own.serial} ${own.serial}`;
    });
    const last = meant.find((one) => !meant.some((other) => written(other) > written(one)));
    if (last === undefined) return [entry];
    const { body, bodyVersion } = last.body as Body;
    if (body === undefined) return [];
    const { claimedAt, claimedMs, doneBy } = last;
    return [{ ...entry, claimedAt, claimedMs, doneBy, kindVersion: bodyVersion, body }];
  });
}

export function judgeUnit(entries: readonly Entry[], claimedBeforeMs: number): object | undefined {
  const all = standing(entries);
  const known = all.filter((entry) => entry.kindVersion === 1 && entry.kind !== 'recalled');
  const registrations = known.filter((entry) => entry.kind === 'unit-added');
  if (registrations.length === 0) return undefined;
  let counted = known.filter((entry) => entry.claimedMs < claimedBeforeMs);
  const inTime = registrations.some((entry) => entry.claimedMs < claimedBeforeMs);
  if (!inTime) {
    const others = registrations.filter((one) => !registrations.some((other) => key(other) < key(one)));
    // As first registered: before anything else was.
    counted = [...counted, { ...others[0]!, claimedMs: -1e15 }];
  }
  const register = counted.filter(({ kind }) => ['unit-added', 'unit-changed', 'unit-moved'].includes(kind));
  const field = (name: string) =>
    lastSaid(register, (body) => (body[name] === undefined ? undefined : { it: body[name] }))?.it;

  const details: Record<string, string> = {};
  for (const name of ['role', 'address', 'contact', 'access', 'notes']) {
    const said = lastSaid(register, (body, kind) => {
      if (kind === 'unit-added') return { it: body.details[name] ?? null };
      return body.details?.[name] === undefined ? undefined : { it: body.details[name] };
    })?.it;
    if (typeof said === 'string') details[name] = said;
  }

  const outcomes = counted.filter((entry) => entry.kind === 'outcome' && countsOnce(entry, counted));
  const versions = counted.flatMap((entry) => {
    if (entry.kind === 'version-seen') {
      const { version, evidence, dated } = entry.body as Body;
      return [{ entry, version, evidence, dated: evidence === 'read' || dated }];
    }
    const { versionRead } = entry.body as Body;
    if (!outcomes.includes(entry) || versionRead === undefined) return [];
    return [{ entry, version: versionRead, evidence: 'read', dated: true }];
  });
  const latest = (some: typeof versions) => {
    const entry = newest(some.map((one) => one.entry));
    const one = some.find((other) => other.entry === entry);
    return one === undefined
      ? null
      : { version: one.version, evidence: one.evidence, atMs: one.entry.claimedMs, dated: one.dated };
  };
  const read = versions.filter(({ evidence }) => evidence === 'read');
  const dated = versions.filter((one) => one.evidence === 'reported' && one.dated);
  const undated = versions.filter((one) => one.evidence === 'reported' && !one.dated);
  const exemption = newest(counted.filter(({ kind }) => kind.startsWith('exemption')));

  return {
    serial: entries[0]!.body.serial,
    product: field('product'),
    hardware: field('hardware'),
    site: field('site'),
    details,
    retired:
      newest(counted.filter(({ kind }) => kind === 'unit-added' || kind === 'unit-retired'))?.kind ===
      'unit-retired',
    version: read.length > 0 ? latest([...read, ...dated]) : latest(versions),
    versionRead: latest(read),
    reported: { dated: latest(dated), undated: latest(undated) },
    lastOutcome: outcomeOf(newest(outcomes)),
    lastDecisive: outcomeOf(newest(outcomes.filter(({ body }) => body.outcome !== 'deferred'))),
    readSince: readSince(outcomes, read),
    exempt:
      exemption?.kind === 'exemption-begun' ? { why: exemption.body.why, until: exemption.body.until } : null,
    left:
      lastSaid(outcomes, (body) => body.left ?? (body.outcome === 'updated' ? 'running' : undefined)) ?? null,
    newestMs: Math.max(...all.map(({ claimedMs }) => claimedMs)),
  };
}

/** By going through all pairs: a reading counts where no decisive outcome is as late or later. */
function readSince(outcomes: readonly Entry[], read: readonly { entry: Entry; version: string }[]): string[] {
  const decisive = outcomes.filter(({ body }) => body.outcome !== 'deferred');
  if (decisive.length === 0) return [];
  const after = read.filter(({ entry }) => decisive.every(({ claimedMs }) => claimedMs < entry.claimedMs));
  const inOrder = after.sort((a, b) => (key(a.entry) < key(b.entry) ? -1 : 1)).map(({ version }) => version);
  return inOrder.filter((version, at) => inOrder.indexOf(version) === at);
}

function outcomeOf(entry: Entry | undefined): object | null {
  if (entry === undefined) return null;
  const body = entry.body as Body;
  const left = body.left ?? (body.outcome === 'updated' ? 'running' : undefined);
  const facts = {
    kind: body.outcome,
    evidence: body.evidence,
    release: body.release,
    versionRead: body.versionRead,
    left,
    reason: body.reason,
    cause: body.cause,
    card: body.card,
    by: entry.doneBy,
    atMs: entry.claimedMs,
    entryId: `${entry.laptop}-${entry.seq}`,
  };
  return Object.fromEntries(Object.entries(facts).filter(([, value]) => value !== undefined));
}

const saysOf = ({
  serial,
  sheet,
  outcome,
  said,
  versionRead,
  lights,
  left,
  reason,
  cause,
  collected,
}: Body) => {
  if (collected?.form === 'result-file') return collected.id;
  const what = said ?? outcome;
  const how = left ?? (what === 'updated' ? 'running' : null);
  return JSON.stringify([serial, sheet, what, versionRead, lights, how, reason, cause]);
};

/** What is collected counts unless the same was said of the unit before; a failure does all the same where the last
 * that counted on its sheet was another. */
function countsOnce(entry: Entry, all: readonly Entry[]): boolean {
  const body = entry.body as Body;
  if (body.collected === undefined) return true;
  const before = all.filter((other) => {
    const { sheet, collected } = other.body as Body;
    return (
      other.kind === 'outcome' &&
      key(other) < key(entry) &&
      sheet === body.sheet &&
      (sheet !== undefined || collected !== undefined)
    );
  });
  const tellsWhen = ({ collected }: Body) => ['file', 'qr'].includes(collected?.form);
  const same = before.some(({ body: other }: { body: Body }) => {
    if (other.collected?.id === body.collected.id) return true;
    return saysOf(other) === saysOf(body) && !(tellsWhen(other) && tellsWhen(body));
  });
  if (!same) return true;
  const last = newest(before.filter((other) => countsOnce(other, all)));
  return (
    (body.said ?? body.outcome) === 'failed' && (last === undefined || saysOf(last.body) !== saysOf(body))
  );
}
