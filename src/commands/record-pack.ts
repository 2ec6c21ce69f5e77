// `record pack`: all that this workspace knows, for another laptop, as one file of text: every chain, the marks and the
// manifests with their signatures. Says what it holds about people; `--no-names` packs chains that stand for the real
// ones, with marks in place of names. Changes nothing but the file, and never takes another one's place.

import { sha256Hex } from '../bytes/sha256.ts';
import { checkNewsAge } from '../manifest/check-news-age.ts';
import { noPrev, type SealedEntry } from '../ports/record-rules.ts';
import type { Entry, Mark, RecordStore } from '../ports/record-store.ts';
import { knownEntry } from '../record/entry.ts';
import { bodyFault } from '../record/entry-schema.ts';
import { collectPeople, type People, peopleText } from '../record/packet/people.ts';
import { personMark, standInOf } from '../record/packet/replace-names.ts';
import { isStandIn } from '../record/packet/stand-in-name.ts';
import { standIns } from '../record/packet/stand-ins.ts';
import { entryId, openEntry } from '../record/seal-entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { formatSize } from '../words/size.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { nameKey } from './packet/name-key.ts';
import { manifestsToPack } from './packet/packet-manifests.ts';
import { checkPackedSignatures, packetJudge } from './packet/packet-signatures.ts';
import { type PacketContents, writePacket } from './packet/write-packet.ts';
import { piecesBetweenStops, stopPoint } from './stop-point.ts';

type Store = RecordStore<UnitRecord>;

export async function run(
  context: Context,
  [given]: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { clock, files } = context;
  // Opened to be written, so that a workspace that has only manifests gets the laptop whose packet it is.
  const store = await context.record('write');
  const withoutNames = options.names === false;
  const marks = await store.marks();
  requireOneSort(marks, withoutNames);
  const packed = manifestsToPack(context);
  const now = clock.now();
  const people = collectPeople();
  const findings: Finding[] = [
    ...packed.findings,
    ...checkPackedSignatures(packed.manifests, await packetJudge(context)),
    ...checkNewsAge(packed.newsMs, now, clock),
  ];
  const progress = context.terminal.progress('packing', 'steps');
  const total = marks.reduce((sum, { seq }) => sum + seq, 0);
  let looked = 0;
  const look = (entry: Entry) => {
    people.look(entry);
    looked += 1;
    progress.at(looked, total);
    const fault = knownEntry(entry) === undefined ? undefined : bodyFault(entry.kind, entry.body);
    if (fault !== undefined && findings.length < 100) findings.push(unfit(entry, fault));
  };
  const header = {
    packedAt: formatLocalTime(now, clock),
    packedBy: context.typedBy?.slice(0, 80) ?? null,
    laptop: store.laptop,
    names: marks.some(({ laptop }) => isStandIn(laptop)) ? ('replaced' as const) : ('kept' as const),
    people: withNames,
    manifestNews: packed.newsMs === undefined ? null : formatLocalTime(packed.newsMs, clock),
  };
  const { manifests } = packed;
  const contents: PacketContents = withoutNames
    ? await nameless(context, store, { marks, people: people.people, look, header, manifests })
    : { header, manifests, entries: chains(context, store, marks, look), marks: () => marks };
  const path = placeFor(context, given, store.laptop);
  const file = files.startNew(path);
  let written: Awaited<ReturnType<typeof writePacket>>;
  try {
    written = await writePacket(file, contents);
    file.keep();
  } catch (error) {
    file.discard();
    throw error;
  } finally {
    progress.end();
  }
  const { firm, site } = people.people;
  return {
    exit: 0,
    json: {
      verdict: 'intact',
      path,
      bytes: written.bytes,
      sha256: written.sha256,
      entries: written.entries,
      manifests: written.manifests,
      marks: contents.marks(),
      names: withoutNames ? 'replaced' : header.names,
      people: {
        firm: firm.size,
        site: site.size,
        names: withoutNames ? [] : [...firm].sort().slice(0, 1000),
      },
      manifestNews: header.manifestNews,
      findings,
    },
    text: [
      ...(findings.length === 0 ? [] : [renderFindings(findings, context.terminal)]),
      withoutNames
        ? `About people: ${peopleText(people.people)} were replaced by marks. Names that stand only in free text are still in it: look through it before it leaves the house. It cannot be compared with the record to the letter.`
        : `About people: ${peopleText(people.people)}, and whatever free text says. Without names: --no-names.`,
      'Photos are not in it.',
      packed.newsMs === undefined
        ? 'No manifests are in it.'
        : `Newest manifest of ${formatLocalDay(packed.newsMs, clock)}.`,
      `Packed: ${counted(written.entries, 'entry', 'entries')} of ${counted(written.marks, 'laptop')}, ${counted(written.manifests, 'manifest')}, ${formatSize(written.bytes)}: ${path}`,
    ].join('\n'),
  };
}

const withNames =
  'Holds names of people who worked, typed, led or were told, ways to reach sites, and free text, as they were typed. No photos.';
const withoutNamesText =
  'Names in fields of their own, and the same names in free text, were replaced by marks that stay the same; a name that was only written in free text may remain. These chains stand for the real ones and cannot be compared with them to the letter. No photos.';

/** Chain after chain up to its mark, each entry proved before it is packed: nobody could take a wrong one in. */
async function* chains(
  context: Pick<Context, 'workspace' | 'stop'>,
  store: Store,
  marks: readonly Mark[],
  look: (entry: Entry) => void,
): AsyncGenerator<SealedEntry> {
  for (const mark of marks) {
    let end: Mark = { laptop: mark.laptop, seq: 0, hash: noPrev };
    for await (const stored of store.sealed({ laptop: mark.laptop, toSeq: mark.seq })) {
      const { laptop, seq, hash, text } = stored;
      const entry = openEntry(stored);
      if (entry?.prev !== end.hash || seq !== end.seq + 1 || sha256Hex(text) !== hash || entry.seq !== seq) {
        throw damaged(context.workspace.record, entryId(laptop, seq));
      }
      if (seq % piecesBetweenStops === 0) await stopPoint(context, 'no packet was written');
      look(entry);
      end = { laptop, seq, hash };
      yield { text, hash };
    }
    if (end.seq !== mark.seq || end.hash !== mark.hash)
      throw damaged(context.workspace.record, entryId(mark.laptop, mark.seq));
  }
}

interface Nameless {
  readonly marks: readonly Mark[];
  readonly people: People;
  readonly look: (entry: Entry) => void;
  readonly header: PacketContents['header'];
  readonly manifests: PacketContents['manifests'];
}

/** Reads everything twice: names are known only at the end. */
async function nameless(
  context: Context,
  store: Store,
  { marks, people, look, header, manifests }: Nameless,
): Promise<PacketContents> {
  const key = nameKey(context);
  const namedIds = new Set<string>();
  for await (const _ of chains(context, store, marks, (entry) => {
    look(entry);
    const { corrects } = entry.body as { readonly corrects?: { readonly id?: unknown } };
    if (entry.kind === 'correction' && typeof corrects?.id === 'string') namedIds.add(corrects.id);
  }));
  const made = standIns({
    key,
    people,
    marks,
    namedIds,
    chain: ({ laptop, seq }) => store.sealed({ laptop, toSeq: seq }),
  });
  return {
    header: {
      ...header,
      packedBy: header.packedBy === null ? null : personMark(key, header.packedBy),
      laptop: standInOf(key, header.laptop),
      names: 'replaced',
      people: withoutNamesText,
    },
    manifests,
    entries: made.entries(),
    marks: made.marks,
  };
}

/** A record holds real chains or such that stand for others: a packet that held both would count them twice. */
function requireOneSort(marks: readonly Mark[], withoutNames: boolean): void {
  const standing = marks.filter(({ laptop }) => isStandIn(laptop)).length;
  if (standing === 0 || (standing === marks.length && !withoutNames)) return;
  throw new Failure({
    code: 'record-stands-in',
    exit: 2,
    summary:
      standing === marks.length
        ? 'The names in this record are marks already.'
        : 'This record holds chains that stand for others, and entries of its own.',
    next:
      standing === marks.length
        ? 'Pack it without --no-names.'
        : 'Pack where the entries were first written; a record of stand-ins is for reading.',
  });
}

function damaged(where: string, seen: string): Failure {
  return new Failure({
    code: 'record-damaged',
    exit: 7,
    summary: 'The record is damaged: an entry is not what was written. Nothing was packed.',
    seen,
    where,
    next: 'Run slotproof record check, and call the service lead.',
  });
}

function unfit(entry: Entry, fault: string): Finding {
  return {
    code: 'entry-unfit',
    severity: 'warn',
    summary: 'An entry does not have the form of its kind: others will not take this packet in.',
    seen: printable(fault, 200),
    where: printable(entry.id),
    next: 'Call the service lead.',
  };
}

/** The file as given, else one in this folder that says whose packet it is and of which day. */
function placeFor({ files, clock }: Context, given: string | undefined, laptop: string): string {
  if (given !== undefined) return requireFree(files, files.absolute(given));
  const name = `slotproof-${laptop}-${formatLocalDay(clock.now(), clock)}`;
  for (let number = 1; number < 1000; number++) {
    const path = files.absolute(`${name}${number === 1 ? '' : `-${number}`}.packet`);
    if (files.facts(path) === undefined) return path;
  }
  return files.absolute(`${name}.packet`);
}

/** Told before everything is read, not after. */
function requireFree(files: Context['files'], path: string): string {
  if (files.facts(path) === undefined) return path;
  throw new Failure({
    code: 'file-exists',
    exit: 2,
    summary: 'There is a file of that name already; nothing is replaced.',
    where: path,
    next: 'Choose another name, or move the old file away.',
  });
}
