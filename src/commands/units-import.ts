// `units import`: a table of units into the register. Every line is judged before the first entry is written,
// and all entries are written at once: a table that is stopped half-way has changed nothing.

import { type CsvTable, maxTableBytes, readCsvTable } from '../fleet/csv-table.ts';
import { planRegistration, type RegistrationPlan } from '../fleet/plan-registration.ts';
import { type DateForm, isoDate, readDateForm } from '../fleet/table-dates.ts';
import { tableEncodings } from '../fleet/table-encodings.ts';
import { detailFields, judgeClaim, type Registration } from '../fleet/unit-claim.ts';
import type { EntryDraft } from '../ports/record-store.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { registerSigner } from './register-signer.ts';

interface Refused {
  readonly line: number;
  readonly code: string;
  readonly summary: string;
}

interface Counts {
  added: number;
  changed: number;
  unchanged: number;
}

const required = ['serial', 'site', 'product', 'hardware', 'version'] as const;
const optional = [...detailFields, 'versionReadOn'] as const;

/** What people write over such columns; a column of the field's own name always wins. */
const words = {
  serial: ['serial number', 'serial no', 's/n', 'sn'],
  site: ['location', 'site name'],
  product: ['model', 'equipment'],
  hardware: ['hardware revision', 'revision', 'rev'],
  version: ['firmware', 'firmware version', 'software version'],
  versionReadOn: ['read on', 'version date'],
  contact: ['contact person'],
  notes: ['remarks', 'comment', 'comments'],
} as const;

export async function run(
  context: Context,
  [file]: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { table: given, pairs } = sortArguments(file, options.map);
  const path = context.files.absolute(given);
  const map = columnMap(pairs);
  const dates = requireDates(options.dates);
  const encoding = tableEncodings.find((known) => known === options.encoding);
  const bytes = context.files.readBytes(path, maxTableBytes);
  const table = readCsvTable(bytes, { path, required, optional, map, words, encoding });
  await requireProducts(context);

  const isDry = options.dryRun === true;
  const { registrations, refused } = await judgeRows(context, table, dates);
  const { drafts, counts, changes } = await planAll(context, registrations, refused, isDry);
  refused.sort((a, b) => a.line - b.line);
  const isStopped = options.strict === true && refused.length > 0;
  const isWritten = !isDry && !isStopped;
  if (isWritten && drafts.length > 0) await (await context.record('write')).append(drafts);

  const taken = isStopped ? 0 : counts.added + counts.changed + counts.unchanged;
  return {
    exit: refused.length === 0 ? 0 : taken === 0 ? 3 : 4,
    json: {
      ...(isStopped ? { added: 0, changed: 0, unchanged: 0 } : counts),
      refused,
      renamedColumns: Object.fromEntries(table.renamed),
      ignoredColumns: table.ignored,
      entries: isStopped ? 0 : drafts.length,
      dryRun: isDry,
      ...(isDry ? { changes } : {}),
    },
    text: render(context, { counts, refused, changes: isDry ? changes : [], table, isDry, isStopped }),
  };
}

function requireDates(value: OptionValues[string]): DateForm | undefined {
  if (typeof value !== 'string') return undefined;
  const form = readDateForm(value);
  if (form !== undefined) return form;
  throw new Failure({
    code: 'date-form',
    exit: 2,
    summary: '--dates is no form of a date.',
    seen: printable(value, 40),
    expected: 'D, M and YYYY with points, slashes or dashes between, such as DD.MM.YYYY or MM/DD/YYYY',
    where: '--dates',
    next: 'Look how the table writes its dates, and declare that.',
  });
}

/** --map takes all that follows it, the table too where it stands last: `--map serial=SN fleet.csv`. */
function sortArguments(file: string | undefined, value: OptionValues[string]) {
  const pairs: string[] = Array.isArray(value) ? [...value] : [];
  const last = pairs.at(-1);
  if (file !== undefined) return { table: file, pairs };
  if (last !== undefined && !last.includes('=')) return { table: last, pairs: pairs.slice(0, -1) };
  throw new Failure({
    code: 'answer-missing',
    exit: 2,
    summary: 'Which table?',
    expected: 'units import FILE.csv',
    next: 'Give the path of the CSV file.',
  });
}

function columnMap(pairs: readonly string[]): Map<string, string> {
  const map = new Map<string, string>();
  for (const pair of pairs) {
    const at = pair.indexOf('=');
    const field = pair.slice(0, Math.max(0, at)).trim();
    const known = [...required, ...optional].find((name) => name.toLowerCase() === field.toLowerCase());
    if (known === undefined || at === pair.length - 1) {
      throw new Failure({
        code: 'map-form',
        exit: 2,
        summary: '--map names a field, an equals sign and a column.',
        seen: printable(pair),
        expected: `one of ${[...required, ...optional].join(', ')}, then =COLUMN`,
        where: '--map',
        next: 'For example: --map serial="Serial number".',
      });
    }
    map.set(known, pair.slice(at + 1));
  }
  return map;
}

async function requireProducts(context: Context): Promise<void> {
  if ((await context.catalogue()).products.size > 0) return;
  throw new Failure({
    code: 'no-product-manifest',
    exit: 2,
    summary: 'No product is known, so no serial can be checked.',
    where: context.workspace.manifests,
    next: "Put the products' manifests there, then run slotproof manifests check.",
  });
}

/** Each row by the manifests; of several rows with one serial the first is taken. */
async function judgeRows(context: Context, table: CsvTable, dates: DateForm | undefined) {
  const { clock } = context;
  const nowMs = clock.now();
  const todayMs = clock.startOfLocalDay(formatLocalDay(nowMs, clock));
  const { products } = await context.catalogue();
  const judge = { products, nowMs, todayMs, zone: clock };
  const refused: Refused[] = [...table.faults];
  const registrations = new Map<string, { line: number; registration: Registration }>();
  for (const { line, fields } of table.rows) {
    const readOn = fields.versionReadOn ?? '';
    const iso = readOn === '' || dates === undefined ? readOn : isoDate(readOn, dates);
    if (iso === undefined) {
      const summary = `versionReadOn is no date as ${dates?.text}: "${printable(readOn, 40)}"`;
      refused.push({ line, code: 'date-form', summary });
      continue;
    }
    const judged = judgeClaim(iso === '' ? fields : { ...fields, versionReadOn: iso }, judge);
    if (!judged.ok) {
      refused.push({ line, code: judged.code, summary: judged.summary });
      continue;
    }
    const { serial } = judged.registration;
    const first = registrations.get(serial);
    if (first === undefined) registrations.set(serial, { line, registration: judged.registration });
    else
      refused.push({ line, code: 'serial-twice', summary: `${serial} stands in line ${first.line} already` });
  }
  return { registrations, refused };
}

async function planAll(
  context: Context,
  registrations: ReadonlyMap<string, { line: number; registration: Registration }>,
  refused: Refused[],
  isDry: boolean,
) {
  const counts: Counts = { added: 0, changed: 0, unchanged: 0 };
  const drafts: EntryDraft[] = [];
  const changes: Change[] = [];
  if (registrations.size === 0) return { counts, drafts, changes };
  const store = await context.record('read');
  const signer = isDry ? { claimedAt: '', typedBy: '', zone: context.clock } : await registerSigner(context);
  for (const [serial, { line, registration }] of registrations) {
    const unit = await store?.unit(serial);
    if (unit?.retired) {
      const summary = `${serial} is retired; if it is back in service, use slotproof units add ${serial}`;
      refused.push({ line, code: 'unit-retired', summary });
      continue;
    }
    const plan = planRegistration(registration, unit, signer);
    counts[plan.kind] += 1;
    drafts.push(...plan.drafts);
    if (isDry && plan.kind !== 'unchanged') changes.push(changeOf(line, serial, plan, unit));
  }
  return { counts, drafts, changes };
}

/** What a dry run says of one unit: each field that would be another. */
interface Change {
  readonly line: number;
  readonly serial: string;
  readonly kind: 'added' | 'changed';
  readonly fields: Readonly<Record<string, { readonly from: string | null; readonly to: string | null }>>;
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

const maxShown = 40;

interface Told {
  readonly counts: Counts;
  readonly refused: readonly Refused[];
  /** Of a dry run. */
  readonly changes: readonly Change[];
  readonly table: CsvTable;
  readonly isDry: boolean;
  readonly isStopped: boolean;
}

function changeText({ line, serial, kind, fields }: Change): string {
  const text = (value: string | null) => (value === null || value === '' ? 'nothing' : printable(value, 80));
  const said = Object.entries(fields).map(([name, { from, to }]) =>
    kind === 'added' ? `${name} ${text(to)}` : `${name} ${text(from)} -> ${text(to)}`,
  );
  return `Line ${line}: ${printable(serial, 64)} ${kind}: ${said.join(', ')}`;
}

function render({ terminal }: Context, { counts, refused, changes, table, isDry, isStopped }: Told): string {
  const lines: string[] = [];
  for (const [field, column] of table.renamed)
    lines.push(`Column ${printable(column, 40)} is taken as ${field}`);
  if (table.ignored.length > 0) {
    const names = table.ignored.slice(0, 20).map((name) => printable(name, 40));
    lines.push(`Columns not taken in: ${names.join(', ')}`);
  }
  lines.push(...shown(changes.map(changeText)));
  lines.push(
    ...shown(
      refused.map(({ line, code, summary }) => `Line ${line} refused: ${printable(summary)} [${code}]`),
    ),
  );
  const { added, changed, unchanged } = counts;
  const would = isDry || isStopped ? 'Would be: ' : '';
  const nothing = isStopped ? ' With --strict nothing was written.' : isDry ? ' Nothing was written.' : '';
  lines.push(
    `${would}${added} added, ${changed} changed, ${unchanged} unchanged, ${refused.length} refused.${nothing}`,
  );
  return lines.map((line) => wrap(line, terminal.columns, '  ', '')).join('\n');
}

function shown(lines: readonly string[]): string[] {
  if (lines.length <= maxShown) return [...lines];
  return [...lines.slice(0, maxShown), `... and ${lines.length - maxShown} more lines (--json lists all).`];
}
