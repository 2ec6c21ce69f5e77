// A table that people bring, as CSV (RFC 4180 and what spreadsheets make of it): comma, semicolon or tab as the
// header tells, with or without a byte order mark, columns by name in any order. Gives rows of named fields with
// the line each one begins on; what a field means is the caller's business. A fault of the whole table is a
// Failure, a fault of one row is told with its line.

import { CsvError, parse } from 'csv-parse/sync';
import { Failure } from '../words/failure.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import type { TableEncoding } from './table-encodings.ts';
import { decodeTableText } from './table-text.ts';
import { plainCell } from './unit-csv.ts';

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

/** The largest table that is read: some 200,000 units with all their columns. */
export const maxTableBytes = 64 * 2 ** 20;
const usualMaxRows = 200_000;
const maxRecordBytes = 64 * 1024;
const maxColumns = 200;

export function readCsvTable(bytes: Uint8Array, request: CsvRequest): CsvTable {
  const records = parseRecords(decodeTableText(bytes, request.path, request.encoding), request.path);
  const header = records[0];
  if (header === undefined) {
    throw tableFailure('table-empty', 'The table is empty.', request.path, {
      expected: `a header: ${request.required.join(',')}`,
    });
  }
  const columns = assignColumns(header.cells, request);
  const maxRows = request.maxRows ?? usualMaxRows;
  if (records.length - 1 > maxRows) {
    throw tableFailure(
      'table-too-long',
      'The table has more rows than can be taken in at once.',
      request.path,
      {
        seen: `${records.length - 1} rows`,
        expected: `${maxRows} at most`,
      },
    );
  }

  const named = header.cells.findLastIndex((cell) => cell !== '') + 1;
  const rows: CsvRow[] = [];
  const faults: RowFault[] = [];
  for (const { line, cells } of records.slice(1)) {
    const extra = cells.slice(header.cells.length).some((cell) => cell !== '');
    // Spreadsheets leave out empty cells at the end of a row, and those of columns without a name.
    if (extra || cells.length < named) {
      const summary = `The row has ${cells.length} cells, the header ${header.cells.length}`;
      faults.push({ line, code: 'row-length', summary });
      continue;
    }
    const fields: Record<string, string> = {};
    for (const [field, at] of columns.fields) fields[field] = cells[at] ?? '';
    rows.push({ line, fields });
  }
  return {
    rows,
    faults,
    present: [...columns.fields.keys()],
    renamed: columns.renamed,
    ignored: columns.ignored,
  };
}

interface CsvRecord {
  readonly line: number;
  readonly cells: readonly string[];
}

function parseRecords(text: string, path: string): CsvRecord[] {
  // A spreadsheet's own first line, which names the separator.
  const named = /^\ufeff?"?sep=([,;\t])"?\n/i.exec(text);
  const skippedLines = named === null ? 0 : 1;
  const rest = named === null ? text : text.slice(named[0].length);
  const delimiter = named?.[1] ?? delimiterOf(rest);
  try {
    const parsed = parse(rest, {
      delimiter,
      bom: true,
      info: true,
      relax_column_count: true,
      relax_quotes: true,
      skip_empty_lines: true,
      record_delimiter: '\n',
      max_record_size: maxRecordBytes,
    }) as unknown as { record: string[]; info: { lines: number } }[];
    return parsed
      .map(({ record, info }) => ({
        line: skippedLines + info.lines - newlinesIn(record),
        cells: record.map((cell) => plainCell(cell.trim())),
      }))
      .filter(({ cells }) => cells.some((cell) => cell !== ''));
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const line = skippedLines + Number(error.lines ?? 1);
    // A mark that is never closed swallows the rest of the table, or the longest row there may be.
    const isQuote = error.code === 'CSV_QUOTE_NOT_CLOSED' || error.code === 'CSV_MAX_RECORD_SIZE';
    throw tableFailure(
      isQuote ? 'table-quote' : 'table-form',
      isQuote ? 'A quotation mark is opened and never closed.' : 'The table cannot be read as CSV.',
      `${path}:${line}`,
      isQuote ? {} : { seen: printable(error.message) },
    );
  }
}

function newlinesIn(cells: readonly string[]): number {
  return cells.reduce((count, cell) => count + cell.split('\n').length - 1, 0);
}

/** The separator that cuts the header into the most names; a comma where none does. */
function delimiterOf(text: string): string {
  const header = (/^[\ufeff\s]*([^\n]*)/.exec(text)?.[1] ?? '').replace(/"[^"]*"/g, '');
  const counted = [',', ';', '\t'].map((delimiter) => ({ delimiter, count: header.split(delimiter).length }));
  counted.sort((a, b) => b.count - a.count);
  return counted[0]!.delimiter;
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
  const missing: string[] = [];
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
    if (mapped !== undefined || required.includes(field)) missing.push(mapped ?? field);
  }
  if (missing.length > 0) throw columnMissing(missing, header, path);
  const taken = new Set(fields.values());
  return {
    fields,
    renamed,
    ignored: header.filter((name, index) => name.trim() !== '' && !taken.has(index)),
  };
}

function columnMissing(missing: readonly string[], header: readonly string[], path: string): Failure {
  const first = missing[0]!;
  const near = nearNames(first, header)[0];
  return tableFailure(
    'column-missing',
    `The table has no column ${missing.map((name) => printable(name)).join(', ')}.`,
    path,
    {
      seen: printable(header.join(','), 300),
      next:
        near === undefined
          ? `Name the column that holds it: --map ${first}=COLUMN.`
          : `Name the column that holds it: --map ${first}="${printable(near)}".`,
    },
  );
}

function tableFailure(
  code: string,
  summary: string,
  where: string,
  more: { readonly seen?: string; readonly expected?: string; readonly next?: string },
): Failure {
  return new Failure({
    code,
    exit: 2,
    summary,
    where,
    next: 'Correct the table, then run the same again.',
    ...more,
  });
}
