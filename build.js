// Bundles src into dist, one lazily loaded chunk for each dynamic import, so that a
// command starts with its own code alone. Type checking is `npm run check`, not this.
import { rmSync } from 'node:fs';
import { build } from 'esbuild';

rmSync('dist', { recursive: true, force: true });
await build({
  entryPoints: ['src/cli.ts'],
  outdir: 'dist',
  chunkNames: 'chunks/[name]-[hash]',
  bundle: true,
  splitting: true,
  format: 'esm',
  platform: 'node',
  target: 'node20.17',
  external: ['better-sqlite3', 'drivelist'],
  // commander, yauzl and others are CommonJS: inside an ES module they need a `require`.
  banner: {
    js: "import { createRequire as slotproofRequire } from 'node:module'; const require = slotproofRequire(import.meta.url);",
  },
  minifySyntax: true,
  legalComments: 'none',
  logLevel: 'warning',
});
