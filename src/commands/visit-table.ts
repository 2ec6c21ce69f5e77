// A list of visits as a person brings it, read and matched with the register. A line that names nothing is told with its
// number; a table that names neither sites nor serials is refused whole.

import { readCsvTable } from '../fleet/csv-table.ts';
import { tableEncodings } from '../fleet/table-encodings.ts';
import { readVisits, type VisitList, visitFields } from '../fleet/visit-list.ts';
import type { Product } from '../manifest/schema.ts';
import type { UnitState } from '../record/unit-state.ts';
import { Failure } from '../words/failure.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';

/** `units`: in service. */
export async function requireVisits(
  { files }: Context,
  file: string,
  units: readonly UnitState[],
  products: Iterable<Product>,
  encoding: OptionValues[string],
): Promise<VisitList> {
  const path = files.absolute(file);
  const table = await readCsvTable(files.chunks(path), {
    path,
    required: [],
    optional: visitFields,
    encoding: tableEncodings.find((known) => known === encoding),
  });
  if (!table.present.includes('site') && !table.present.includes('serial')) {
    throw new Failure({
      code: 'column-missing',
      exit: 2,
      summary: 'The list of visits names neither sites nor serials.',
      where: path,
      expected: `a header with site or serial, and date and minutes where you like`,
      next: 'Put the header site,date (or serial,date) above the list.',
    });
  }
  return readVisits(table, units, products);
}
