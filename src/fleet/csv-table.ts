// A table that people bring, as CSV: columns by name in any order. Gives rows of named fields with the line each one
// begins on; what a field means is the caller's business. A fault of the whole table is a Failure, a fault of one row
// is told with its line.

import type { Failure } from '../words/failure.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import { csvRecords } from './csv-records.ts';
import type { TableEncoding } from './table-encodings.ts';
import { tableFailure } from './table-failure.ts';
import { decodeTableText } from './table-text.ts';

export interface CsvRequest {
  /** Shown with every Failure. */
  readonly path: string;
  readonly required: readonly string[];
  readonly optional: readonly string[];
  /** Field to column, where the header has another name for it. */
  readonly map?: ReadonlyMap<string, string>;
  /** Other plain names that a column of a field may have, where none has its own. */
  readonly words?: Readonly<Record<string, readonly string[]>>;
  /** Declared; else by its mark or its look. */
  readonly encoding?: TableEncoding | undefined;
  readonly maxRows?: number;
}

export interface CsvRow {
  readonly line: number;
  /** Trimmed; every field of a column that the table has, '' where the cell is empty. */
  readonly fields: Readonly<Record<string, string>>;
}

export interface RowFault {
  readonly line: number;
  readonly code: string;
  readonly summary: string;
}

export interface CsvTable {
  readonly rows: readonly CsvRow[];
  readonly faults: readonly RowFault[];
  /** The fields that have a column. */
  readonly present: readonly string[];
  /** Fields that were taken from a column of another name, and that name. */
  readonly renamed: ReadonlyMap<string, string>;
  /** Columns that no field takes, as the header writes them. */
  readonly ignored: readonly string[];
}

/** Of a table that is read whole, such as a list of visits. */
const usualMaxRows = 200_000;
const maxTableBytes = 1024 * 2 ** 20;
const maxColumns = 200;

/** A table whose header was read, and whose rows come one after the other. */
export interface OpenCsvTable extends Pick<CsvTable, 'present' | 'renamed' | 'ignored'> {
  /** To be read once. Failures of the whole table, whatever came before: exit 2. */
  rows(): AsyncGenerator<CsvRow | RowFault>;
}

/** `chunks`: the bytes of the table in order; their memory may be used again. Holds a few of them at most. */
export async function openCsvTable(chunks: Iterable<Uint8Array>, request: CsvRequest): Promise<OpenCsvTable> {
  const { path, encoding, maxRows = usualMaxRows } = request;
  const records = csvRecords(decodeTableText(bounded(chunks, path), path, encoding), path);
  const { value: header } = await records.next();
  if (header === undefined) {
    throw tableFailure('table-empty', 'The table is empty.', path, {
      expected:
        request.required.length > 0
          ? `a header: ${request.required.join(',')}`
          : `a header with some of these columns: ${request.optional.join(', ')}`,
      next: 'Write the header and the rows below it, save the table, then run the same again.',
    });
  }
  const { fields, renamed, ignored } = assignColumns(header.cells, request);
  const length = header.cells.length;
  const named = header.cells.findLastIndex((cell: string) => cell !== '') + 1;

  async function* rows(): AsyncGenerator<CsvRow | RowFault> {
    let count = 0;
    for await (const { line, cells } of records) {
      count += 1;
      if (count > maxRows) throw tooLong(path, `more than ${maxRows} rows`, `${maxRows} at most`);
      const extra = cells.slice(length).some((cell) => cell !== '');
      // Spreadsheets leave out empty cells at the end of a row, and those of columns without a name.
      if (extra || cells.length < named) {
        const summary = `The row has ${cells.length} cells, the header ${length}`;
        yield { line, code: 'row-length', summary };
        continue;
      }
      const row: Record<string, string> = {};
      for (const [field, at] of fields) row[field] = cells[at] ?? '';
      yield { line, fields: row };
    }
  }

  return { present: [...fields.keys()], renamed, ignored, rows };
}

/** All of it at once: for tables that are not long. */
export async function readCsvTable(chunks: Iterable<Uint8Array>, request: CsvRequest): Promise<CsvTable> {
  const { present, renamed, ignored, ...table } = await openCsvTable(chunks, request);
  const rows: CsvRow[] = [];
  const faults: RowFault[] = [];
  for await (const row of table.rows()) {
    if ('fields' in row) rows.push(row);
    else faults.push(row);
  }
  return { rows, faults, present, renamed, ignored };
}

function* bounded(chunks: Iterable<Uint8Array>, path: string): Generator<Uint8Array> {
  let bytes = 0;
  for (const chunk of chunks) {
    bytes += chunk.length;
    if (bytes > maxTableBytes)
      throw tooLong(path, 'more than 1 GiB', 'a table of units or of visits, 1 GiB at most');
    yield chunk;
  }
}

function tooLong(path: string, seen: string, expected: string): Failure {
  const summary = 'The table has more rows than can be taken in at once.';
  return tableFailure('table-too-long', summary, path, { seen, expected });
}

/** Capitals, blanks, points and dashes do not tell two names apart. */
const keyOf = (name: string) => name.toLowerCase().replace(/[\s._/-]+/g, '');

/** Which column holds each field: the one `map` names, else the one of its own name, capitals or not. */
function assignColumns(header: readonly string[], request: CsvRequest) {
  const { path, required, optional, map = new Map(), words = {} } = request;
  if (header.length > maxColumns) {
    throw tableFailure('table-form', `The table has more than ${maxColumns} columns.`, path, {});
  }
  const at = new Map<string, number>();
  const twice = new Set<string>();
  for (const [index, name] of header.entries()) {
    const key = keyOf(name);
    if (key === '') continue;
    if (at.has(key)) twice.add(key);
    else at.set(key, index);
  }
  const fields = new Map<string, number>();
  const renamed = new Map<string, string>();
  const missing: MissingColumn[] = [];
  /** The one column that has another plain name of the field; of two, neither. */
  const byOtherWord = (field: string): number | undefined => {
    const own = new Set([...required, ...optional].map(keyOf));
    const fit = (words[field] ?? []).flatMap((word) => {
      const index = at.get(keyOf(word));
      return index === undefined || own.has(keyOf(word)) || twice.has(keyOf(word)) ? [] : [index];
    });
    return fit.length === 1 ? fit[0] : undefined;
  };
  for (const field of [...required, ...optional]) {
    const mapped = map.get(field);
    const key = keyOf(mapped ?? field);
    if (twice.has(key)) {
      throw tableFailure('column-twice', `Two columns are called ${printable(mapped ?? field)}.`, path, {
        next: 'Rename one of them, or take it out.',
      });
    }
    const index = at.get(key) ?? (mapped === undefined ? byOtherWord(field) : undefined);
    if (index !== undefined) fields.set(field, index);
    if (index !== undefined && keyOf(header[index] ?? '') !== keyOf(field))
      renamed.set(field, header[index] ?? '');
    if (index !== undefined) continue;
    if (mapped !== undefined || required.includes(field)) missing.push({ field, name: mapped ?? field });
  }
  if (missing.length > 0) throw columnMissing(missing, header, path);
  const taken = new Set(fields.values());
  return {
    fields,
    renamed,
    ignored: header.filter((name, index) => name.trim() !== '' && !taken.has(index)),
  };
}

interface MissingColumn {
  readonly field: string;
  /** What was looked for: the field's own name, or the one that --map gave. */
  readonly name: string;
}

const mostColumnsNamed = 12;

function columnMissing(missing: readonly MissingColumn[], header: readonly string[], path: string): Failure {
  const { field, name } = missing[0]!;
  const near = nearNames(name, header)[0];
  const columns = header.filter((column) => column !== '').map((column) => printable(column, 40));
  const more = columns.length > mostColumnsNamed ? ` and ${columns.length - mostColumnsNamed} more` : '';
  return tableFailure(
    'column-missing',
    `The table has no column ${missing.map((one) => printable(one.name)).join(', ')}.`,
    path,
    {
      seen: `the columns ${columns.slice(0, mostColumnsNamed).join(', ')}${more}`,
      next:
        near === undefined
          ? `Name the column that holds it: --map ${field}=COLUMN.`
          : `Name the column that holds it: --map ${field}="${printable(near)}".`,
    },
  );
}
