// Brings this laptop's record and a server's in step: sends what is here and not there, as far as the role may, and
// fetches what is there and not here. This laptop's own chain is never fetched: only the laptop extends it. Whatever has
// been moved stays moved; doing it again does no harm.

import type { ServerRecord } from '../../ports/office-server.ts';
import type { Mark, RecordStore } from '../../ports/record-store.ts';
import { isStandIn } from '../../record/packet/stand-in-name.ts';
import type { UnitRecord } from '../../record/unit-record.ts';
import { Failure } from '../../words/failure.ts';
import type { Finding } from '../../words/finding.ts';
import { type ChainDifference, compareChains } from './compare-chains.ts';
import { amountOf, moveChain } from './move-entries.ts';
import {
  behindFinding,
  notBrought,
  notEntrusted,
  ownAhead,
  refusals,
  splitFinding,
  standsIn,
} from './sync-findings.ts';

export interface SyncParts {
  readonly here: RecordStore<UnitRecord>;
  readonly server: ServerRecord<UnitRecord>;
  /** Where the chains ended on this server when it was last in step. */
  readonly remembered: readonly Mark[];
  /** Counted as they are moved, also where it breaks off later. */
  readonly moved: { sent: number; fetched: number };
  readonly batchEntries: number;
  readonly stop: AbortSignal;
  progress(done: number, total: number): void;
}

export interface Synced {
  readonly findings: readonly Finding[];
  readonly marks: readonly Mark[];
  readonly splits: readonly ChainDifference[];
}

export async function syncWithServer(parts: SyncParts): Promise<Synced> {
  const { here, server, remembered, moved, batchEntries } = parts;
  const [ours, theirs] = [await here.marks(), await server.marks()];
  const mixed = standsIn(ours, theirs, isStandIn);
  if (mixed !== undefined) return { findings: [mixed], marks: theirs, splits: [] };
  const differences = await compareChains({ store: here, marks: ours }, { store: server, marks: theirs });
  const findings: Finding[] = [...(await server.checkRights())];
  const lost = behindFinding(remembered, theirs, differences);
  if (lost !== undefined) findings.push(lost);

  const total = amountOf(differences);
  let done = 0;
  const counting = (what: 'sent' | 'fetched') => (count: number) => {
    moved[what] += count;
    done += count;
    parts.progress(done, total);
    if (parts.stop.aborted) throw stopped(moved);
  };
  const mayBring = (laptop: string) =>
    server.rights.brings.includes(laptop) || server.rights.brings.includes('*');
  const kept: ChainDifference[] = [];

  // Own entries first: they are the ones that may be nowhere else.
  const ownFirst = [...differences].sort(
    (a, b) => Number(b.laptop === here.laptop) - Number(a.laptop === here.laptop),
  );
  for (const difference of ownFirst) {
    const { laptop, kind, hereSeq, thereSeq } = difference;
    if (kind === 'split') {
      findings.push(splitFinding(difference));
    } else if (kind === 'more-here' && mayBring(laptop)) {
      const range = { laptop, fromSeq: thereSeq + 1, toSeq: hereSeq, batchEntries, checkForm: false };
      findings.push(...refusals(await moveChain(here, server, range, counting('sent')), 'server'));
    } else if (kind === 'more-here') {
      if (laptop === here.laptop) findings.push(notEntrusted(server, laptop, hereSeq - thereSeq));
      else kept.push(difference);
    } else if (kind === 'more-there' && laptop === here.laptop) {
      findings.push(ownAhead(difference));
    } else if (kind === 'more-there') {
      const range = { laptop, fromSeq: hereSeq + 1, toSeq: thereSeq, batchEntries, checkForm: true };
      findings.push(...refusals(await moveChain(server, here, range, counting('fetched')), 'laptop'));
    }
  }
  if (kept.length > 0) findings.push(notBrought(kept));
  return {
    findings,
    marks: await server.marks(),
    splits: differences.filter(({ kind }) => kind === 'split'),
  };
}

function stopped({ sent, fetched }: SyncParts['moved']): Failure {
  return new Failure({
    code: 'stopped',
    exit: 130,
    summary: `Stopped: ${sent} sent and ${fetched} fetched stay where they are now.`,
    next: 'Run the same again for the rest.',
    more: { sent, fetched },
  });
}
