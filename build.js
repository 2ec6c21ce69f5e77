// Bundles src into dist, one lazily loaded part for each dynamic import, so that a command starts with its own code
// alone, and keeps each part's compiled form. Type checking is `npm run check`, not this.
import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { build, transform } from 'esbuild';
import { keepCompiled } from './build-cache.js';
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

/**
 * One part as a CommonJS script of ASCII letters, which `bin/load-tool.js` reads a byte a character. Half of a short
 * command's time is reading its own code, so it is small; a bug's lines are found again by the source maps.
 */
async function writePart({ path, text }) {
  const { code, map } = await transform(text, {
    format: 'cjs',
    // `import()` becomes `require` in a promise.
    supported: { 'dynamic-import': false },
    platform: 'node',
    target: 'node20.17',
    charset: 'ascii',
    minify: true,
    sourcemap: 'external',
    sourcefile: basename(path),
    banner: /\bpartUrl\b/.test(text)
      ? "const partUrl = require('node:url').pathToFileURL(__filename).href;"
      : '',
  });
  const foreign = /[^\0-\x7f].{0,20}/.exec(code);
  if (foreign !== null) throw new Error(`${path} holds other letters than ASCII: ${foreign[0]}`);
  mkdirSync(dirname(path), { recursive: true });
  writeFileSync(`${path}.map`, map);
  writeFileSync(path, `${code}//# sourceMappingURL=${basename(path)}.map\n`);
}

await buildPage();
const { outputFiles } = await build({
  plugins: [noPrograms],
  define: { SLOTPROOF_BUILD: JSON.stringify(digestOfSources()), 'import.meta.url': 'partUrl' },
  entryPoints: ['src/cli.ts'],
  outdir: 'dist',
  chunkNames: 'parts/[name]-[hash]',
  write: false,
  bundle: true,
  splitting: true,
  format: 'esm',
  platform: 'node',
  target: 'node20.17',
  external: ['better-sqlite3', 'drivelist', 'fontkit', 'pdfkit', 'pg-native'],
  sourcemap: 'inline',
  legalComments: 'none',
  logLevel: 'warning',
});
// The entry last: it leads to parts that are all there.
await Promise.all(outputFiles.filter(({ path }) => basename(path) !== 'cli.js').map(writePart));
await Promise.all(outputFiles.filter(({ path }) => basename(path) === 'cli.js').map(writePart));
await keepCompiled();

// What an earlier build left goes last, so that a tool that runs meanwhile finds its parts.
const made = new Set(outputFiles.map(({ path }) => path));
for (const name of readdirSync('dist', { recursive: true, encoding: 'utf8' })) {
  const path = resolve('dist', name);
  if (/\.js(\.map|\.cache)?$/.test(path) && !made.has(path.replace(/\.(map|cache)$/, ''))) rmSync(path);
}
