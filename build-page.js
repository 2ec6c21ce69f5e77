// The code of the pocket page: one style sheet and a script for each language, as texts in dist/pocket-page.json, from
// where `sheet --format pocket` puts them into each page. For browsers of the last five years or so.
import { mkdirSync, readdirSync, renameSync, writeFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';

const root = fileURLToPath(new URL('.', import.meta.url));
const languages = 'src/sheet/languages';

const common = {
  absWorkingDir: root,
  write: false,
  metafile: true,
  bundle: true,
  platform: 'browser',
  target: ['chrome90', 'firefox90', 'safari14.1'],
  minify: true,
  charset: 'utf8',
  legalComments: 'none',
  logLevel: 'warning',
};

async function styleOf() {
  const { outputFiles, metafile } = await build({
    ...common,
    entryPoints: ['src/sheet/pocket/page/page.css'],
    outdir: 'dist',
  });
  return { text: requireWhole(outputFiles[0].text), inputs: Object.keys(metafile.inputs) };
}

async function scriptIn(code) {
  const contents = `import { startPage } from './src/sheet/pocket/page/main.ts';
import { ${code} as words } from './${languages}/${code}.ts';
startPage(words);`;
  const { outputFiles, metafile } = await build({
    ...common,
    stdin: { contents, resolveDir: root, sourcefile: 'page.js' },
    format: 'iife',
  });
  const inputs = Object.keys(metafile.inputs).filter((path) => path !== 'page.js');
  return { code, text: requireWhole(outputFiles[0].text), inputs };
}

/** Either would end its own element, or begin a comment that swallows the rest. */
function requireWhole(text) {
  if (/<\/(script|style)|<!--/i.test(text)) throw new Error('the page would end within its own code');
  return text.trim();
}

/** Where it lies, and what was bundled into it by path. */
export async function buildPage() {
  const codes = readdirSync(`${root}${languages}`).map((name) => name.replace(/\.ts$/, ''));
  const [style, ...made] = await Promise.all([styleOf(), ...codes.sort().map(scriptIn)]);
  const scripts = Object.fromEntries(made.map(({ code, text }) => [code, text]));
  const content = { scripts, style: style.text };
  mkdirSync(`${root}dist`, { recursive: true });
  const path = `${root}dist/pocket-page.json`;
  writeFileSync(`${path}.${process.pid}`, JSON.stringify(content));
  renameSync(`${path}.${process.pid}`, path);
  const inputs = [...new Set([style, ...made].flatMap((one) => one.inputs))];
  return { path, inputs, ...content };
}
