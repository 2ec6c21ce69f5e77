// `units export [FILE.csv]`: the register as a table, in the form that `units import` takes in; retired units only where they
// are asked for. Without a file it goes to standard output, and nothing else does.

import { unitColumns, unitCsvLine } from '../fleet/unit-csv.ts';
import type { UnitFilter } from '../ports/record-store.ts';
import { counted } from '../words/counted.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { requireNewFile } from './new-file.ts';
import { siteToLookAt } from './site-meant.ts';

/** Spreadsheets take accents for something else without it. */
const mark = '\ufeff';
const piece = 64 * 1024;

export async function run(
  context: Context,
  [file]: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const path = requireNewFile(context, file);
  const filter: UnitFilter = {
    ...(typeof options.product === 'string' ? { product: options.product } : {}),
    ...(typeof options.site === 'string' ? { site: (await siteToLookAt(context, options.site)).site } : {}),
    retired: options.retired === true ? 'with' : 'without',
  };
  const store = await context.record('read');
  const chunks: Uint8Array[] = [];
  const encoder = new TextEncoder();
  let text = `${mark}${unitColumns.join(',')}\r\n`;
  let units = 0;
  for await (const unit of store?.units(filter) ?? []) {
    units++;
    text += unitCsvLine(unit, context.clock);
    if (text.length < piece) continue;
    chunks.push(encoder.encode(text));
    text = '';
  }
  chunks.push(encoder.encode(text));
  if (path !== undefined) context.files.writeNew(path, chunks);
  const table =
    path === undefined ? Buffer.concat(chunks).toString('utf8').slice(mark.length).trimEnd() : undefined;
  return {
    exit: 0,
    json: { path: path ?? null, units, ...(table === undefined ? {} : { csv: table }) },
    ...(table === undefined ? { text: `${counted(units, 'unit')}: ${path}` } : { text: table, isData: true }),
  };
}
