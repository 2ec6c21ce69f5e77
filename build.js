// Bundles src into dist, one lazily loaded chunk for each dynamic import, so that a
// command starts with its own code alone. Type checking is `npm run check`, not this.
import { readdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';

const { metafile } = await build({
  metafile: true,
  entryPoints: ['src/cli.ts'],
  outdir: 'dist',
  chunkNames: 'chunks/[name]-[hash]',
  bundle: true,
  splitting: true,
  format: 'esm',
  platform: 'node',
  target: 'node20.17',
  external: ['better-sqlite3', 'drivelist', 'fontkit', 'pdfkit'],
  // commander, yauzl and others are CommonJS: inside an ES module they need a `require`.
  banner: {
    js: "import { createRequire as slotproofRequire } from 'node:module'; const require = slotproofRequire(import.meta.url);",
  },
  minifySyntax: true,
  legalComments: 'none',
  logLevel: 'warning',
});

// What an earlier build left goes last, so that a tool that runs meanwhile finds its chunks.
const made = new Set(Object.keys(metafile.outputs).map((name) => join(name)));
for (const name of readdirSync('dist', { recursive: true, encoding: 'utf8' })) {
  const path = join('dist', name);
  if (path.endsWith('.js') && !made.has(path)) rmSync(path);
}
