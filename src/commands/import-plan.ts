// What a table of units would write, row by row: each judged by the manifests, and compared with the register. Decides
// alone; nothing is written here. Holds the serials that it has seen, what was refused, and a bounded number of changes.

import type { CsvRow, OpenCsvTable } from '../fleet/csv-table.ts';
import {
  planRegistration,
  type RegistrationPlan,
  type RegistrationSigner,
} from '../fleet/plan-registration.ts';
import { SeenSerials } from '../fleet/seen-serials.ts';
import { type DateForm, isoDate } from '../fleet/table-dates.ts';
import { type ClaimJudge, judgeClaim, type Registration } from '../fleet/unit-claim.ts';
import type { EntryDraft } from '../ports/record-store.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';
import { piecesBetweenStops, stopPoint } from './stop-point.ts';

export interface RefusedLine {
  readonly line: number;
  readonly code: string;
  readonly summary: string;
}

/** What a dry run says of one unit: each field that would be another. */
export interface Change {
  readonly line: number;
  readonly serial: string;
  readonly kind: 'added' | 'changed';
  readonly fields: Readonly<Record<string, { readonly from: string | null; readonly to: string | null }>>;
}

/** Grows while the drafts are asked for. */
export interface ImportTally {
  added: number;
  changed: number;
  unchanged: number;
  readonly refused: RefusedLine[];
  readonly changes: Change[];
  /** So many more than are listed. */
  changesLeftOut: number;
}

export interface ImportRequest {
  readonly dates: DateForm | undefined;
  readonly tally: ImportTally;
  readonly signer: RegistrationSigner;
  readonly tellsChanges: boolean;
}

/** More than anybody reads, and little enough to be held. */
const maxChanges = 100_000;

/** Of several rows with one serial the first is taken. */
export async function* planImport(
  context: Context,
  table: OpenCsvTable,
  { dates, tally, signer, tellsChanges }: ImportRequest,
): AsyncGenerator<EntryDraft> {
  const judge = await judgeOf(context);
  const store = await context.record('read');
  const seen = new SeenSerials(seedOf(context.random.bytes(4)));
  const refuse = (line: number, code: string, summary: string) => {
    tally.refused.push({ line, code, summary });
  };
  for await (const row of table.rows()) {
    if (row.line % piecesBetweenStops === 0) await stopPoint(context, 'nothing was taken in');
    const judged = 'fields' in row ? judgeRow(row, dates, judge) : row;
    if (!('registration' in judged)) {
      refuse(row.line, judged.code, judged.summary);
      continue;
    }
    const { registration } = judged;
    const { serial } = registration;
    const first = seen.firstLine(serial, row.line);
    if (first !== undefined) {
      refuse(row.line, 'serial-twice', `${serial} stands in line ${first} already`);
      continue;
    }
    const unit = await store?.unit(serial);
    if (unit?.retired) {
      const summary = `${serial} is retired; if it is back in service, use slotproof units add ${serial}`;
      refuse(row.line, 'unit-retired', summary);
      continue;
    }
    const plan = planRegistration(registration, unit, signer);
    tally[plan.kind] += 1;
    if (tellsChanges && plan.kind !== 'unchanged') {
      if (tally.changes.length < maxChanges) tally.changes.push(changeOf(row.line, serial, plan, unit));
      else tally.changesLeftOut += 1;
    }
    yield* plan.drafts;
  }
}

async function judgeOf(context: Context): Promise<ClaimJudge> {
  const { clock } = context;
  const nowMs = clock.now();
  const todayMs = clock.startOfLocalDay(formatLocalDay(nowMs, clock));
  return { products: (await context.catalogue()).products, nowMs, todayMs, zone: clock };
}

type Judged = { readonly registration: Registration } | { readonly code: string; readonly summary: string };

function judgeRow({ fields }: CsvRow, dates: DateForm | undefined, judge: ClaimJudge): Judged {
  const readOn = fields.versionReadOn ?? '';
  const iso = readOn === '' || dates === undefined ? readOn : isoDate(readOn, dates);
  if (iso === undefined) {
    const summary = `versionReadOn is no date as ${dates?.text}: "${printable(readOn, 40)}"`;
    return { code: 'date-form', summary };
  }
  const judged = judgeClaim(iso === '' ? fields : { ...fields, versionReadOn: iso }, judge);
  if (!('code' in judged) || judged.code !== 'date-form' || dates !== undefined) return judged;
  const hint = 'where the table has another form of dates, declare it, such as --dates DD.MM.YYYY';
  return { ...judged, summary: `${judged.summary}; ${hint}` };
}

function changeOf(
  line: number,
  serial: string,
  { kind, drafts }: RegistrationPlan,
  unit: UnitRecord | undefined,
): Change {
  const fields: Record<string, { from: string | null; to: string | null }> = {};
  const before: Readonly<Record<string, string | null>> =
    unit === undefined || kind === 'added'
      ? {}
      : { ...unit.details, product: unit.product, hardware: unit.hardware, site: unit.site };
  const set = (name: string, to: unknown): void => {
    if (to !== undefined) fields[name] = { from: before[name] ?? null, to: to === null ? null : String(to) };
  };
  for (const { body } of drafts) {
    for (const name of ['product', 'hardware', 'site']) set(name, body[name]);
    if (body.version !== undefined)
      fields.version = { from: unit?.version?.version ?? null, to: String(body.version) };
    for (const [name, text] of Object.entries((body.details ?? {}) as Record<string, string | null>))
      set(name, text);
  }
  return { line, serial, kind: kind === 'added' ? 'added' : 'changed', fields };
}

const seedOf = (bytes: Uint8Array): number => bytes.reduce((seed, byte) => (seed * 256 + byte) >>> 0, 0);
