// `record take-in FILE`: others' entries and manifests out of a packet. Entries are added while they are proved, verbatim,
// each once, in one transaction that only a packet which is whole, sound and fit to be counted here brings to its end;
// then its manifests. A chain that parts from the one that stands here is shown and not taken; the others are.

import { checkNewsAge } from '../manifest/check-news-age.ts';
import { manifestNewsMs } from '../manifest/manifest-news.ts';
import type { Mark, RecordStore, TakenIn } from '../ports/record-store.ts';
import type { CheckedPacket } from '../record/packet/check-packet.ts';
import { PacketFault } from '../record/packet/packet-fault.ts';
import type { PacketHeader } from '../record/packet/packet-lines.ts';
import { isStandIn } from '../record/packet/stand-in-name.ts';
import { takenForPacket } from '../record/packet/taken-for-packet.ts';
import { entryId } from '../record/seal-entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { type Finding, hasStop } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import type { Answer } from './command.ts';
import type { Context } from './context.ts';
import { PacketFile } from './packet/packet-file.ts';
import { ManifestIntake, type ManifestsTaken } from './packet/packet-manifests.ts';
import { checkDoubtful, packetJudge } from './packet/packet-signatures.ts';
import { stopPoint } from './stop-point.ts';

type Store = RecordStore<UnitRecord>;

const nothingTaken: TakenIn = { added: 0, known: 0, held: 0, splits: [], refused: [] };
const noManifests: ManifestsTaken = {
  added: [],
  same: 0,
  replaced: [],
  notTaken: [],
  signatures: undefined,
  doubtful: [],
  findings: [],
};

export async function run(context: Context, [given = '']: readonly (string | undefined)[]): Promise<Answer> {
  const path = context.files.absolute(given);
  const packet = new PacketFile(context, path);
  try {
    return await takeIn(context, path, packet);
  } catch (error) {
    if (!(error instanceof PacketFault)) throw error;
    const finding =
      error.finding.code === 'not-a-packet' ? told(context, path, error.finding) : error.finding;
    return answer(context, { path, findings: [finding], taken: nothingTaken, manifests: noManifests });
  }
}

/** Which file, and what it is instead, where that can be seen. */
function told({ files }: Pick<Context, 'files'>, path: string, finding: Finding): Finding {
  for (const head of files.chunks(path)) {
    return { ...finding, ...takenForPacket(head), where: printable(path, 1000) };
  }
  return { ...finding, where: printable(path, 1000) };
}

async function takeIn(context: Context, path: string, packet: PacketFile): Promise<Answer> {
  const header = packet.header();
  const reader = await context.record('read');
  const unlike = checkSort(header, (await reader?.marks()) ?? []);
  if (unlike !== undefined) {
    for (const _ of packet.entries('proving'));
    const told = { path, findings: [unlike], taken: nothingTaken, manifests: noManifests };
    return answer(context, { ...told, checked: packet.checked() });
  }
  const store = await context.record('write');
  const pause = () => stopPoint(context, 'nothing was taken in');
  const taken = await store.takeIn(packet.entries('taking in'), pause);
  const checked = packet.checked();
  const intake = new ManifestIntake(context, await packetJudge(context));
  for (const manifest of packet.manifests()) intake.take(manifest);
  packet.requireUnchanged();
  const manifests = intake.result();
  const findings = [
    ...checkTaken(taken),
    ...(await checkPackersTail(store, checked)),
    ...manifests.findings,
    ...checkDoubtful(manifests.doubtful, await context.catalogue()),
    ...unknownKinds(checked),
    ...(checked.header.names === 'replaced' ? [standsIn] : []),
    ...(await checkNews(context)),
  ];
  return answer(context, { path, findings, taken, manifests, checked, marks: await store.marks() });
}

/** Real chains and such that stand for others never meet in one record: both would count. */
function checkSort({ names, laptop }: PacketHeader, marks: readonly Mark[]): Finding | undefined {
  const isReplaced = names === 'replaced';
  if (marks.every((mark) => isStandIn(mark.laptop) === isReplaced)) return undefined;
  return isReplaced
    ? {
        code: 'names-replaced',
        severity: 'stop',
        summary: 'Names were replaced in this packet: its chains stand for others and are not they.',
        seen: printable(laptop),
        expected: 'a workspace of its own',
        next: 'Take it in with --workspace NEWFOLDER, and read or audit it there.',
      }
    : {
        code: 'record-stands-in',
        severity: 'stop',
        summary: 'This record holds chains that stand for others: real ones would count beside them.',
        seen: printable(laptop),
        expected: 'a record of real chains',
        next: 'Take it in in another workspace: --workspace FOLDER.',
      };
}

const standsIn: Finding = {
  code: 'names-replaced',
  severity: 'warn',
  summary:
    'Names were replaced before this was packed: it cannot be compared with the real record to the letter.',
  next: 'Read and count it; for proof ask whoever packed it for the entries themselves.',
};

function checkTaken({ splits, refused }: TakenIn): Finding[] {
  return [
    ...splits.map(
      ({ laptop, seq, ours, theirs }): Finding => ({
        code: 'split',
        severity: 'stop',
        summary:
          'Two different entries claim one place of a chain: the one here stays, theirs was not taken.',
        seen: theirs,
        expected: ours,
        where: entryId(printable(laptop), seq),
        next: 'Two copies of one workspace were used. Call the service lead: what only one of them holds must be logged anew.',
      }),
    ),
    ...refused.map(
      ({ reason, id, position }): Finding =>
        reason === 'own-ahead'
          ? {
              code: 'own-ahead',
              severity: 'stop',
              summary: "Others hold newer entries of this laptop's own chain: this record has lost them.",
              where: printable(id ?? ''),
              next: 'Log nothing more here. Restore the newest back-up with a new laptop id, then take the packet in again.',
            }
          : {
              code: 'entry-refused',
              severity: 'stop',
              summary: 'An entry was not taken, nor what follows it in its chain.',
              seen: reason,
              where: printable(id ?? `entry ${position} of the packet`),
              next: 'Run slotproof record check here, and ask for the packet again.',
            },
    ),
  ];
}

/** A packer whose own chain ends before what others have of it, although those were written when it packed. */
async function checkPackersTail(store: Store, { header, marks }: CheckedPacket): Promise<Finding[]> {
  const mark = marks.find(({ laptop }) => laptop === header.laptop);
  const seq = mark?.seq ?? 0;
  const next = await store.entry(entryId(header.laptop, seq + 1));
  if (next === undefined || header.laptop === store.laptop) return [];
  if (next.writtenMs >= Date.parse(header.packedAt)) return [];
  return [
    {
      code: 'tail-missing',
      severity: 'warn',
      summary: 'The laptop that packed this has lost its newest entries: there are more of them here.',
      seen: seq === 0 ? 'no entry of its own' : `ends with ${entryId(header.laptop, seq)}`,
      expected: `${next.id} or later`,
      where: next.id,
      next: 'Tell whoever works with that laptop, and give them a packet of this one.',
    },
  ];
}

function unknownKinds({ unknownKinds: kinds }: CheckedPacket): Finding[] {
  return [...kinds].slice(0, 20).map(
    ([kind, count]): Finding => ({
      code: 'kind-unknown',
      severity: 'warn',
      summary: `${counted(count, 'entry is', 'entries are')} of a kind that this version of slotproof does not know: kept and passed on, but not added up.`,
      seen: printable(kind, 60),
      next: 'Use the newer version of slotproof that wrote it.',
    }),
  );
}

async function checkNews(context: Context): Promise<Finding[]> {
  const { files, clock } = context;
  const newsMs = manifestNewsMs(await context.catalogue(), files, clock.now());
  return checkNewsAge(newsMs, clock.now(), clock);
}

interface Told {
  readonly path: string;
  readonly findings: readonly Finding[];
  readonly taken: TakenIn;
  readonly manifests: ManifestsTaken;
  readonly checked?: CheckedPacket;
  readonly marks?: readonly Mark[];
}

function answer(context: Context, { path, findings, taken, manifests, checked, marks = [] }: Told): Answer {
  const isRefused = hasStop(findings);
  const { added, known, held, splits, refused } = taken;
  const { added: manifestsAdded, same, replaced, notTaken, signatures } = manifests;
  const by = checked?.header.packedBy ?? null;
  const from =
    checked === undefined
      ? undefined
      : `Packed ${checked.header.packedAt.slice(0, 16).replace('T', ' ')}${by === null ? '' : ` by ${printable(by, 80)}`}, laptop ${checked.header.laptop}. ${printable(checked.header.people, 2000)}`;
  const manifestsText = [
    manifestsAdded.length > 0 ? `${manifestsAdded.length} new` : undefined,
    replaced.length > 0 ? `${replaced.length} replaced by newer` : undefined,
    notTaken.length > 0 ? `${notTaken.length} not taken` : undefined,
    same > 0 ? `${same} the same` : undefined,
  ].filter((part) => part !== undefined);
  return {
    exit: isRefused ? 3 : 0,
    json: {
      verdict: isRefused ? 'damaged' : 'intact',
      path,
      entries: checked?.entries ?? 0,
      added,
      known,
      held,
      splits,
      refused,
      manifests: {
        added: manifestsAdded,
        same,
        replaced,
        notTaken,
        trust: signatures === undefined ? 'off' : 'on',
        signatures: signatures ?? [],
      },
      packedBy: by,
      packedAt: checked?.header.packedAt ?? null,
      laptop: checked?.header.laptop ?? null,
      names: checked?.header.names ?? null,
      people: checked?.header.people ?? null,
      manifestNews: checked?.header.manifestNews ?? null,
      marks,
      findings,
    },
    text: [
      ...(from === undefined ? [] : [from]),
      ...(findings.length === 0 ? [] : [renderFindings(findings, context.terminal)]),
      ...(manifestsText.length === 0
        ? []
        : [`Manifests: ${manifestsText.join(', ')}.`, signaturesText(signatures)]),
      added + known + held === 0 && isRefused
        ? 'REFUSED: nothing was taken in.'
        : `Taken in: ${counted(added, 'new entry', 'new entries')}, ${known} known already${held === 0 ? '' : `; ${held} REFUSED`}.`,
    ].join('\n'),
  };
}

function signaturesText(signatures: ManifestsTaken['signatures']): string {
  if (signatures === undefined)
    return 'No signature of a manifest was verified: trust is off (slotproof manifests trust).';
  const counts = new Map<string, number>();
  for (const { verdict, by } of signatures) {
    const told =
      by === null ? (verdict === 'unsigned' ? 'not signed' : 'SIGNATURE BAD') : `by ${printable(by, 80)}`;
    counts.set(told, (counts.get(told) ?? 0) + 1);
  }
  return `Signed: ${[...counts].map(([told, count]) => `${count} ${told}`).join(', ')}.`;
}
