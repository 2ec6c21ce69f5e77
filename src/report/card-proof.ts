// What the record proves of the card that was used at a unit: its newest preparation before the use that counts, and the
// looks between. One that was made void proves nothing: it is named with the reason, and never stands in for the proof.

import type { Entry } from '../ports/record-store.ts';
import { type Corrections, corrected, correctionOf } from '../record/as-corrected.ts';
import { type KnownEntry, knownEntry } from '../record/entry.ts';
import { entryText } from '../record/entry-text.ts';
import { formatBytes } from '../words/size.ts';
import { fieldsOf, paragraphOf, type ReportBlock } from './report.ts';
import { people, time } from './report-words.ts';

type Prepared = Extract<KnownEntry, { kind: 'card-prepared' }>;
type Checked = Extract<KnownEntry, { kind: 'card-checked' }>;

export interface CardUse {
  /** As the outcome names it. */
  readonly card: string;
  readonly usedMs: number;
}

const methods = {
  direct: 'read from the card itself, past the computer’s memory',
  reinserted: 'read after the card was out and in again',
  image: 'read from the card image file',
  cached: 'read through the computer’s memory, which proves nothing of the card',
} as const;

/** By its name, or by the last part of an image file's path. */
export function isCard(kept: string, named: string): boolean {
  return kept === named || kept.split(/[\\/]/).at(-1) === named;
}

export function cardProof(
  { card, usedMs }: CardUse,
  entries: readonly Entry[],
  corrections: Corrections,
): ReportBlock[] {
  const isOfUse = ({ body, claimedMs }: Entry) =>
    claimedMs <= usedMs && typeof body.card === 'string' && isCard(body.card, card);
  const counted = entries
    .flatMap((entry) => corrected(entry, corrections) ?? [])
    .filter(isOfUse)
    .sort((a, b) => a.claimedMs - b.claimedMs)
    .map(knownEntry);
  const prepared = counted.findLast((one): one is Prepared => one?.kind === 'card-prepared');
  const looks = counted.filter(
    (one): one is Checked =>
      one?.kind === 'card-checked' && (prepared === undefined || one.claimedMs >= prepared.claimedMs),
  );
  const remark = (id: string) => {
    const written = entries.find((entry) => entry.id === id);
    const correction = written && correctionOf(written, corrections);
    if (correction === undefined) return [];
    return [['As corrected', `by entry ${correction.id}: ${correction.body.why}`] as const];
  };
  return [
    ...voidOnes(entries.filter(isOfUse), corrections),
    ...(prepared === undefined
      ? [paragraphOf('No preparation of this card that counts is on record.')]
      : [fieldsOf(...preparedFields(prepared), ...remark(prepared.id))]),
    ...(looks.length === 0
      ? []
      : [fieldsOf(...looks.flatMap((look) => [lookField(look), ...remark(look.id)]))]),
  ];
}

function voidOnes(entries: readonly Entry[], corrections: Corrections): ReportBlock[] {
  return entries.flatMap((entry) => {
    const correction = correctionOf(entry, corrections);
    if (correction === undefined || corrected(entry, corrections) !== undefined) return [];
    return [
      paragraphOf(
        `Does not count: ${entryText(entry)}, ${time(entry.claimedAt)}, entry ${entry.id}. ${correction.body.why} (entry ${correction.id}).`,
      ),
    ];
  });
}

function preparedFields(prepared: Prepared) {
  const { body } = prepared;
  const { file, readBack } = body;
  const volume = body.volumeId === undefined ? '' : `, volume ${body.volumeId}`;
  return [
    [
      'The card',
      `prepared ${time(prepared.claimedAt)} by ${people(prepared)} for ${body.release}: ${body.verdict}`,
    ],
    ['Size, volume', `${formatBytes(body.sizeBytes)} bytes${volume}${body.fresh ? ', laid out anew' : ''}`],
    ['Firmware file', `${file.path}, ${formatBytes(file.bytes)} bytes, sha256 ${file.sha256}`],
    ['Read back', `${methods[readBack.method]}: sha256 ${readBack.sha256}`],
    ['Other files', `${body.kept} kept, ${body.removed} removed`],
    ['Despite the halt', body.despiteHalt],
    ['Entry', prepared.id],
  ] as const;
}

function lookField(look: Checked) {
  const { release, verdict, stops } = look.body;
  const told = stops.length === 0 ? '' : ` (${stops.join(', ')})`;
  const asked = release === undefined ? '' : ` for ${release}`;
  return [
    'Looked at',
    `${time(look.claimedAt)} by ${people(look)}${asked}: ${verdict}${told}, entry ${look.id}`,
  ] as const;
}
