// `units import`: a table of units into the register, line by line (`import-plan.ts`), in one transaction: a table that
// is stopped half-way has changed nothing.

import { type OpenCsvTable, openCsvTable } from '../fleet/csv-table.ts';
import { type DateForm, readDateForm } from '../fleet/table-dates.ts';
import { tableEncodings } from '../fleet/table-encodings.ts';
import { detailFields } from '../fleet/unit-claim.ts';
import type { EntryDraft } from '../ports/record-store.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import { chunksWithProgress } from './chunks-with-progress.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { type Change, type ImportTally, planImport } from './import-plan.ts';
import { registerSigner } from './register-signer.ts';

/** A firm has fewer; a table of more was made by a program that went wrong. */
const maxUnits = 2_000_000;

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
  const request = { path, required, optional, map, words, encoding, maxRows: maxUnits };
  const open = () => openCsvTable(chunksWithProgress(context, path, 'reading the table'), request);
  const [isDry, isStrict] = [options.dryRun === true, options.strict === true];
  const table = await open();
  await requireProducts(context);
  if (isDry || isStrict) {
    const signer = { claimedAt: '', typedBy: '', zone: context.clock };
    const tally = newTally();
    const looked = planImport(context, table, { dates, tally, signer, tellsChanges: isDry });
    const entries = await countOf(looked);
    const isStopped = isStrict && tally.refused.length > 0;
    if (isDry || isStopped) return answer(context, { tally, table, entries, isDry, isStopped });
  }
  const tally = newTally();
  const signer = await registerSigner(context);
  const plan = { dates, tally, signer, tellsChanges: false };
  const drafts = planImport(context, isStrict ? await open() : table, plan);
  const entries = await writeAll(context, drafts, () => isStrict && tally.refused.length > 0);
  const isStopped = isStrict && tally.refused.length > 0;
  return answer(context, { tally, table, entries, isDry, isStopped });
}

const newTally = (): ImportTally => ({
  added: 0,
  changed: 0,
  unchanged: 0,
  refused: [],
  changes: [],
  changesLeftOut: 0,
});

interface Told {
  readonly tally: ImportTally;
  readonly table: OpenCsvTable;
  readonly entries: number;
  readonly isDry: boolean;
  /** With --strict, and a line refused. */
  readonly isStopped: boolean;
}

function answer(context: Context, told: Told): Answer {
  const { tally, table, entries, isDry, isStopped } = told;
  const { added, changed, unchanged, refused, changes, changesLeftOut } = tally;
  const counts = isStopped ? { added: 0, changed: 0, unchanged: 0 } : { added, changed, unchanged };
  const taken = counts.added + counts.changed + counts.unchanged;
  return {
    exit: refused.length === 0 ? 0 : taken === 0 ? 3 : 4,
    json: {
      ...counts,
      refused,
      renamedColumns: Object.fromEntries(table.renamed),
      ignoredColumns: table.ignored,
      entries: isStopped ? 0 : entries,
      dryRun: isDry,
      ...(isDry ? { changes } : {}),
      ...(changesLeftOut > 0 ? { changesLeftOut } : {}),
    },
    text: render(context, told),
  };
}

/** The disk takes seconds for them after the last was handed over. */
const manyEntries = 100_000;

/** With --strict: a line is refused after all, since the table or the register changed since it was looked through. */
class NothingWritten extends Error {}

/**
 * All of them in one go, or none: where the table turns out to be damaged half-way, or `isStopped` once its end was
 * reached, nothing was written. A record is only made where there is something to write.
 */
async function writeAll(
  context: Context,
  drafts: AsyncGenerator<EntryDraft>,
  isStopped: () => boolean,
): Promise<number> {
  const first = await drafts.next();
  if (first.done === true) return 0;
  async function* rest() {
    yield first.value as EntryDraft;
    let count = 1;
    for await (const draft of drafts) {
      yield draft;
      count += 1;
    }
    if (isStopped()) throw new NothingWritten();
    if (count >= manyEntries) context.terminal.notice('All lines are read. Writing to the disk.');
  }
  try {
    return await (await context.record('write')).appendEach(rest());
  } catch (error) {
    if (error instanceof NothingWritten) return 0;
    throw error;
  }
}

async function countOf(drafts: AsyncIterable<EntryDraft>): Promise<number> {
  let count = 0;
  for await (const _ of drafts) count += 1;
  return count;
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

const maxShown = 40;

function changeText({ line, serial, kind, fields }: Change): string {
  const text = (value: string | null) => (value === null || value === '' ? 'nothing' : printable(value, 80));
  const said = Object.entries(fields).map(([name, { from, to }]) =>
    kind === 'added' ? `${name} ${text(to)}` : `${name} ${text(from)} -> ${text(to)}`,
  );
  return `Line ${line}: ${printable(serial, 64)} ${kind}: ${said.join(', ')}`;
}

function render({ terminal }: Context, { tally, table, isDry, isStopped }: Told): string {
  const { added, changed, unchanged, refused, changes, changesLeftOut } = tally;
  const lines: string[] = [];
  for (const [field, column] of table.renamed)
    lines.push(`Column ${printable(column, 40)} is taken as ${field}`);
  if (table.ignored.length > 0) {
    const names = table.ignored.slice(0, 20).map((name) => printable(name, 40));
    lines.push(`Columns not taken in: ${names.join(', ')}`);
  }
  lines.push(...shown(changes.slice(0, maxShown).map(changeText), changes.length + changesLeftOut));
  lines.push(
    ...shown(
      refused.map(({ line, code, summary }) => `Line ${line} refused: ${printable(summary)} [${code}]`),
    ),
  );
  const would = isDry || isStopped ? 'Would be: ' : '';
  const nothing = isStopped ? ' With --strict nothing was written.' : isDry ? ' Nothing was written.' : '';
  lines.push(
    `${would}${added} added, ${changed} changed, ${unchanged} unchanged, ${refused.length} refused.${nothing}`,
  );
  return lines.map((line) => wrap(line, terminal.columns, '  ', '')).join('\n');
}

/** `count`: of all lines, where `lines` are only the first of them. */
function shown(lines: readonly string[], count = lines.length): string[] {
  if (count <= maxShown) return [...lines];
  return [...lines.slice(0, maxShown), `... and ${count - maxShown} more lines (--json lists all).`];
}
