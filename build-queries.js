// Compiles the record's queries from their Kysely definitions (src/adapters/record/queries) into a file of texts beside
// each store, so that the tool runs without Kysely. Run after a definition is changed; a test notices where it was not.
import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { build } from 'esbuild';

process.chdir(import.meta.dirname);
const { outputFiles } = await build({
  entryPoints: ['src/adapters/record/queries/query-texts-of.ts'],
  bundle: true,
  format: 'esm',
  platform: 'node',
  write: false,
});
const code = Buffer.from(outputFiles[0].contents).toString('base64');
const { queryTextsOf } = await import(`data:text/javascript;base64,${code}`);

for (const [engine, queries] of Object.entries(queryTextsOf())) {
  const path = `src/adapters/record/${engine}/query-texts.ts`;
  writeFileSync(
    path,
    `// Made by build-queries.js from ../queries: not to be changed here.

import type { NamedQuery, RowsOf } from '../queries/named-query.ts';
import type { ${engine}Queries } from '../queries/${engine}-queries.ts';

export type QueryRows = RowsOf<ReturnType<typeof ${engine}Queries>>;

export const queryTexts: Readonly<Record<keyof QueryRows, NamedQuery>> = ${JSON.stringify(queries)};
`,
  );
  const { status } = spawnSync(
    process.execPath,
    ['node_modules/@biomejs/biome/bin/biome', 'format', '--write', path],
    {
      stdio: ['ignore', 'ignore', 'inherit'],
    },
  );
  if (status !== 0) throw new Error(`${path} cannot be formatted`);
}
