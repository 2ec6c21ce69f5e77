// Both engines' queries as they are written down for the stores. Run by `build-queries.js` and by the test that holds
// the files to the definitions; never by the tool.

import { namedQueries } from './named-query.ts';
import { postgresQueries } from './postgres-queries.ts';
import { sqliteQueries } from './sqlite-queries.ts';

export const queryTextsOf = () => ({
  sqlite: namedQueries(sqliteQueries()),
  postgres: namedQueries(postgresQueries()),
});
