// Bundles src into dist, one lazily loaded chunk for each dynamic import, so that a
// command starts with its own code alone. Type checking is `npm run check`, not this.
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';

/** What is kept between two runs of the tool holds only for the sources that made it. */
function digestOfSources() {
  const hash = createHash('sha256').update(readFileSync('package-lock.json'));
  for (const name of readdirSync('src', { recursive: true, encoding: 'utf8' }).sort()) {
    if (name.endsWith('.ts')) hash.update(`${name}\n`).update(readFileSync(join('src', name)));
  }
  return hash.digest('hex');
}

const { metafile } = await build({
  define: { SLOTPROOF_BUILD: JSON.stringify(digestOfSources()) },
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
