// The records of a table as CSV (RFC 4180 and what spreadsheets make of it): comma, semicolon or tab as the first line
// tells. Piece by piece: holds one piece of the text and its records. Cells are trimmed; rows of empty cells are left
// out. What a cell means, and whether there are too many of them, is not looked at.

import { type CsvError, parse } from 'csv-parse';
import { printable } from '../words/printable.ts';
import { tableFailure } from './table-failure.ts';
import { plainCell } from './unit-csv.ts';

export interface CsvRecord {
  /** Of its first line, counted from 1. */
  readonly line: number;
  readonly cells: readonly string[];
}

const maxRecordBytes = 64 * 1024;

/** `pieces`: of one text, lines ended by line feeds; the first holds the first line. Failures: exit 2. */
export async function* csvRecords(pieces: Iterable<string>, path: string): AsyncGenerator<CsvRecord> {
  let line = 1;
  let parser: ReturnType<typeof parse> | undefined;
  for (const piece of pieces) {
    let text = piece;
    if (parser === undefined) {
      // A spreadsheet's own first line, which names the separator.
      const named = /^\ufeff?"?sep=([,;\t])"?\n/i.exec(text);
      text = text.slice(named?.[0].length ?? 0);
      line += named === null ? 0 : 1;
      parser = openParser(named?.[1] ?? delimiterOf(text));
    }
    parser.write(text);
    yield* read();
  }
  if (parser === undefined) return;
  await new Promise((resolve) => parser?.once('finish', resolve).once('error', resolve).end());
  yield* read();

  /** What the parser has ready: a record a row, empty rows too, so that lines can be counted. */
  function* read(): Generator<CsvRecord> {
    for (;;) {
      const record = parser?.read() as readonly string[] | null;
      if (record === null) break;
      const cells = record.map((cell) => plainCell(cell.trim()));
      if (cells.some((cell) => cell !== '')) yield { line, cells };
      line += 1 + newlinesIn(record);
    }
    const error = parser?.errored as CsvError | null;
    if (error !== null && error !== undefined) throw formFailure(error, path, line);
  }
}

function openParser(delimiter: string) {
  const parser = parse({
    delimiter,
    bom: true,
    relax_column_count: true,
    relax_quotes: true,
    skip_empty_lines: false,
    record_delimiter: '\n',
    max_record_size: maxRecordBytes,
  });
  // Asked for after each piece; without a listener it would be thrown elsewhere.
  parser.on('error', () => {});
  return parser;
}

function formFailure(error: CsvError, path: string, line: number) {
  // A mark that is never closed swallows the rest of the table, or the longest row there may be.
  const isQuote = error.code === 'CSV_QUOTE_NOT_CLOSED' || error.code === 'CSV_MAX_RECORD_SIZE';
  return tableFailure(
    isQuote ? 'table-quote' : 'table-form',
    isQuote ? 'A quotation mark is opened and never closed.' : 'The table cannot be read as CSV.',
    `${path}:${line}`,
    isQuote ? {} : { seen: printable(error.message) },
  );
}

function newlinesIn(cells: readonly string[]): number {
  let count = 0;
  for (const cell of cells) {
    for (let at = cell.indexOf('\n'); at >= 0; at = cell.indexOf('\n', at + 1)) count += 1;
  }
  return count;
}

/** The separator that cuts the header into the most names; a comma where none does. */
function delimiterOf(text: string): string {
  const header = (/^[\ufeff\s]*([^\n]*)/.exec(text)?.[1] ?? '').replace(/"[^"]*"/g, '');
  const counted = [',', ';', '\t'].map((delimiter) => ({ delimiter, count: header.split(delimiter).length }));
  counted.sort((a, b) => b.count - a.count);
  return counted[0]!.delimiter;
}
