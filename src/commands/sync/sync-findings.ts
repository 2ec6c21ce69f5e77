// What is told of a sync that is not simply in step, each with one next step.

import type { ServerRecord } from '../../ports/office-server.ts';
import type { Mark } from '../../ports/record-store.ts';
import { entryId } from '../../record/seal-entry.ts';
import { counted } from '../../words/counted.ts';
import type { Finding } from '../../words/finding.ts';
import { printable } from '../../words/printable.ts';
import type { ChainDifference } from './compare-chains.ts';
import type { Moved } from './move-entries.ts';

const entries = (count: number) => counted(count, 'entry', 'entries');

/** Real chains and such that stand for others never meet in one record: both would count. */
export function standsIn(
  ours: readonly Mark[],
  theirs: readonly Mark[],
  isStandIn: (laptop: string) => boolean,
): Finding | undefined {
  const stranger = [...ours, ...theirs].find(({ laptop }) => isStandIn(laptop));
  if (stranger === undefined) return undefined;
  return {
    code: 'record-stands-in',
    severity: 'stop',
    summary:
      'One of the two records holds chains that stand for others (names replaced): they are never brought together.',
    seen: printable(stranger.laptop),
    expected: 'real chains on both sides',
    next: 'Sync from the workspace that the entries were written in.',
  };
}

export function splitFinding({ laptop, parting }: ChainDifference): Finding {
  return {
    code: 'split',
    severity: 'stop',
    summary:
      'Two different entries claim one place of a chain, here and on the server: nothing more of it was moved.',
    seen: `on the server ${parting?.theirs ?? ''}`,
    expected: `here ${parting?.ours ?? ''}`,
    where: entryId(printable(laptop), parting?.seq ?? 0),
    next: 'Two copies of one workspace were used. Call the service lead: what only one of them holds must be logged anew.',
  };
}

export function ownAhead({ laptop, hereSeq, thereSeq }: ChainDifference): Finding {
  return {
    code: 'own-ahead',
    severity: 'stop',
    summary: "The server holds newer entries of this laptop's own chain: this record has lost them.",
    seen: `here it ends with ${entryId(laptop, hereSeq)}`,
    expected: entryId(laptop, thereSeq),
    where: entryId(laptop, hereSeq + 1),
    next: 'Log nothing more here. Restore the newest back-up, which begins a new laptop id, then sync again.',
  };
}

/** Chains that ended further on when this server was last seen, and whether it is mended now. */
export function behindFinding(
  remembered: readonly Mark[],
  now: readonly Mark[],
  differences: readonly ChainDifference[],
): Finding | undefined {
  const ends = new Map(now.map(({ laptop, seq }) => [laptop, seq]));
  const here = new Map(differences.map(({ laptop, hereSeq }) => [laptop, hereSeq]));
  const lost = remembered.filter(({ laptop, seq }) => (ends.get(laptop) ?? 0) < seq);
  if (lost.length === 0) return undefined;
  const missing = lost.reduce((sum, { laptop, seq }) => sum + seq - (ends.get(laptop) ?? 0), 0);
  const notHere = lost.filter(({ laptop, seq }) => (here.get(laptop) ?? 0) < seq);
  return {
    code: 'server-behind',
    severity: 'warn',
    summary: `The server has lost ${entries(missing)} that it had when this laptop last saw it: it was restored from an older back-up.`,
    seen: lost
      .slice(0, 5)
      .map(({ laptop }) => `${printable(laptop)} ends with ${ends.get(laptop) ?? 0}`)
      .join(', '),
    expected: lost
      .slice(0, 5)
      .map(({ laptop, seq }) => entryId(printable(laptop), seq))
      .join(', '),
    next:
      notHere.length === 0
        ? "Nothing is lost: this laptop's own entries go there again now. Let every other laptop sync too."
        : 'Let every laptop sync: each brings its own entries again.',
  };
}

export function notEntrusted(
  { rights, where }: ServerRecord<unknown>,
  laptop: string,
  count: number,
): Finding {
  const role = printable(rights.role, 60);
  return {
    code: 'chain-not-entrusted',
    severity: 'stop',
    summary: `The server does not let this user bring the entries of this laptop: ${entries(count)} were not sent.`,
    seen:
      rights.brings.length === 0
        ? `${role} brings none`
        : `${role} brings ${printable(rights.brings.join(', '))}`,
    expected: laptop,
    where: printable(where),
    next: `Let the administrator of the server run: SELECT slotproof.admit('${role}', '${laptop}')`,
  };
}

export function notBrought(kept: readonly ChainDifference[]): Finding {
  const count = kept.reduce((sum, { hereSeq, thereSeq }) => sum + hereSeq - thereSeq, 0);
  return {
    code: 'others-not-brought',
    severity: 'note',
    summary: `${entries(count)} of ${counted(kept.length, 'other laptop')} are here and not yet on the server; this user brings its own alone.`,
    seen: kept
      .slice(0, 5)
      .map(({ laptop }) => printable(laptop))
      .join(', '),
    next: 'Let those laptops sync, or give the office a packet (slotproof record pack).',
  };
}

export function refusals({ taken, misformed }: Moved, by: 'server' | 'laptop'): Finding[] {
  const next =
    by === 'server'
      ? 'Run slotproof record check here, and call the service lead.'
      : 'Run slotproof record check --record URL, and call the service lead.';
  const refused = (seen: string, where: string): Finding => ({
    code: 'entry-refused',
    severity: 'stop',
    summary: 'An entry was not taken, nor what follows it in its chain.',
    seen: printable(seen),
    where: printable(where),
    next,
  });
  return [
    ...misformed.map(({ id, fault }) => refused(fault, id)),
    ...taken.flatMap(({ refused: all, splits }) => [
      ...all.map(({ reason, id, position }) => refused(reason, id ?? `entry ${position}`)),
      ...splits.map(({ laptop, seq, ours, theirs }) =>
        splitFinding({
          laptop,
          kind: 'split',
          hereSeq: seq,
          thereSeq: seq,
          parting: by === 'server' ? { seq, ours: theirs, theirs: ours } : { seq, ours, theirs },
        }),
      ),
    ]),
  ];
}
