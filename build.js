// Bundles src into dist, one lazily loaded chunk for each dynamic import, so that a
// command starts with its own code alone. Type checking is `npm run check`, not this.
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, rmSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { build } from 'esbuild';
import { buildPage } from './build-page.js';

process.chdir(import.meta.dirname);

/** What is kept between two runs of the tool holds only for the sources that made it. */
function digestOfSources() {
  const hash = createHash('sha256').update(readFileSync('package-lock.json'));
  for (const name of readdirSync('src', { recursive: true, encoding: 'utf8' }).sort()) {
    if (name.endsWith('.ts')) hash.update(`${name}\n`).update(readFileSync(join('src', name)));
  }
  return hash.digest('hex');
}

/** commander could start programs for us, which we never ask of it: Node's part for that costs 5 ms to load. */
const noPrograms = {
  name: 'no-programs',
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /^node:child_process$/ }, ({ importer }) =>
      /[\\/]commander[\\/]/.test(importer) ? { path: 'child_process', namespace: 'no-programs' } : undefined,
    );
    onLoad({ filter: /.*/, namespace: 'no-programs' }, () => ({ contents: 'module.exports = {};' }));
  },
};

await buildPage();
const { metafile } = await build({
  plugins: [noPrograms],
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
  // commander, yauzl and others are CommonJS: inside an ES module they need a `require`, for Node's own modules.
  banner: { js: 'const require = process.getBuiltinModule;' },
  // Half of a short command's time is reading its own code; a bug's lines are found again by the source maps.
  minify: true,
  sourcemap: 'linked',
  legalComments: 'none',
  logLevel: 'warning',
});

// What an earlier build left goes last, so that a tool that runs meanwhile finds its chunks.
const made = new Set(Object.keys(metafile.outputs).map((name) => resolve(name)));
for (const name of readdirSync('dist', { recursive: true, encoding: 'utf8' })) {
  const path = resolve('dist', name);
  if (/\.js(\.map)?$/.test(path) && !made.has(path)) rmSync(path);
}
