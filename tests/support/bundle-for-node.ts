// A program of ours as one file that plain node can start: for tests that kill a process or run several at once.

import { createRequire } from 'node:module';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { build } from 'esbuild';

const root = resolve(import.meta.dirname, '../..');
const require = createRequire(import.meta.url);

/** Path of the bundle of `tests/support/NAME.ts` in `folder`. Native addons stay where they are installed. */
export async function bundleForNode(name: string, folder: string): Promise<string> {
  const outfile = join(folder, `${name}.mjs`);
  await build({
    entryPoints: [join(root, 'tests', 'support', `${name}.ts`)],
    outfile,
    bundle: true,
    format: 'esm',
    platform: 'node',
    target: 'node20.17',
    plugins: [
      {
        name: 'addons stay',
        setup: ({ onResolve }) =>
          onResolve({ filter: /^better-sqlite3$/ }, ({ path }) => ({
            path: pathToFileURL(require.resolve(path)).href,
            external: true,
          })),
      },
    ],
    banner: {
      js: "import { createRequire as testRequire } from 'node:module'; const require = testRequire(import.meta.url);",
    },
    logLevel: 'warning',
  });
  return outfile;
}
