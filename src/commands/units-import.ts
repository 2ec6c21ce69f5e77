// `units import`: a table of units into the register. Every line is judged before the first entry is written,
// and all entries are written at once: a table that is stopped half-way has changed nothing.

import { type CsvTable, maxTableBytes, readCsvTable } from '../fleet/csv-table.ts';
import { planRegistration } from '../fleet/plan-registration.ts';
import { detailFields, judgeClaim, type Registration } from '../fleet/unit-claim.ts';
import type { EntryDraft } from '../ports/record-store.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
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

export async function run(
  context: Context,
  [file]: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { table: given, pairs } = sortArguments(file, options.map);
  const path = context.files.absolute(given);
  const map = columnMap(pairs);
  const table = readCsvTable(context.files.readBytes(path, maxTableBytes), { path, required, optional, map });
  await requireProducts(context);

  const isDry = options.dryRun === true;
  const { registrations, refused } = await judgeRows(context, table);
  const { drafts, counts } = await planAll(context, registrations, refused, isDry);
  if (!isDry && drafts.length > 0) await (await context.record('write')).append(drafts);

  refused.sort((a, b) => a.line - b.line);
  const taken = counts.added + counts.changed + counts.unchanged;
  return {
    exit: refused.length === 0 ? 0 : taken === 0 ? 3 : 4,
    json: { ...counts, refused, ignoredColumns: table.ignored, entries: drafts.length, dryRun: isDry },
    text: render(counts, refused, table.ignored, isDry),
  };
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
async function judgeRows(context: Context, table: CsvTable) {
  const { clock } = context;
  const nowMs = clock.now();
  const todayMs = clock.startOfLocalDay(formatLocalDay(nowMs, clock));
  const { products } = await context.catalogue();
  const judge = { products, nowMs, todayMs, zone: clock };
  const refused: Refused[] = [...table.faults];
  const registrations = new Map<string, { line: number; registration: Registration }>();
  for (const { line, fields } of table.rows) {
    const judged = judgeClaim(fields, judge);
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
  if (registrations.size === 0) return { counts, drafts };
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
  }
  return { counts, drafts };
}

const maxShown = 40;

function render(
  counts: Counts,
  refused: readonly Refused[],
  ignored: readonly string[],
  isDry: boolean,
): string {
  const lines: string[] = [];
  if (ignored.length > 0) {
    const names = ignored.slice(0, 20).map((name) => printable(name, 40));
    lines.push(`Columns not taken in: ${names.join(', ')}`);
  }
  for (const { line, code, summary } of refused.slice(0, maxShown)) {
    lines.push(`Line ${line} refused: ${printable(summary)} [${code}]`);
  }
  if (refused.length > maxShown)
    lines.push(`... and ${refused.length - maxShown} more lines (--json lists all).`);
  const { added, changed, unchanged } = counts;
  lines.push(
    `${isDry ? 'Would be: ' : ''}${added} added, ${changed} changed, ${unchanged} unchanged, ${refused.length} refused.${isDry ? ' Nothing was written.' : ''}`,
  );
  return lines.join('\n');
}
