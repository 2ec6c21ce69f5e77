// The code of the pocket page: one script and one style sheet, as texts in dist/pocket-page.json, from where
// `sheet --format pocket` puts them into each page. For browsers of the last five years or so.
import { mkdirSync, renameSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const root = fileURLToPath(new URL('.', import.meta.url));

/** Where it lies, and what was bundled into it by path. */
export async function buildPage() {
  const { outputFiles, metafile } = await build({
    absWorkingDir: root,
    entryPoints: { script: 'src/sheet/pocket/page/main.ts', style: 'src/sheet/pocket/page/page.css' },
    outdir: 'dist',
    write: false,
    metafile: true,
    bundle: true,
    format: 'iife',
    platform: 'browser',
    target: ['chrome90', 'firefox90', 'safari14.1'],
    minify: true,
    charset: 'utf8',
    legalComments: 'none',
    logLevel: 'warning',
  });
  const text = (ending) => outputFiles.find(({ path }) => path.endsWith(ending)).text;
  const content = { script: text('.js').trim(), style: text('.css').trim() };
  // Either would end its own element, or begin a comment that swallows the rest.
  for (const part of Object.values(content)) {
    if (/<\/(script|style)|<!--/i.test(part)) throw new Error('the page would end within its own code');
  }
  mkdirSync(`${root}dist`, { recursive: true });
  const path = `${root}dist/pocket-page.json`;
  writeFileSync(`${path}.${process.pid}`, JSON.stringify(content));
  renameSync(`${path}.${process.pid}`, path);
  return { path, inputs: Object.keys(metafile.inputs), ...content };
}
