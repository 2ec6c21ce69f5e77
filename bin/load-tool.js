// Loads the tool as it was built: a script for each part, and beside it the code cache that spares V8 compiling it.
// A cache of another Node is not used: the part is then compiled anew. CommonJS, because Node takes 14 ms to get its
// ES module loader ready, and keeps no code cache for modules.
const { readFileSync } = require('node:fs');
const { basename, join } = require('node:path');
const { Script } = require('node:vm');

const dist = join(__dirname, '..', 'dist');

/** By name: what a part exports, and its script. */
const parts = new Map();

/** Only the entry's name is the same in every build; the names of all others change with their content. */
const entry = 'cli.js';

function cacheOf(path) {
  if (basename(path) === entry) return undefined;
  try {
    return readFileSync(`${path}.cache`);
  } catch {
    return undefined;
  }
}

/** As Node's own `require`; parts of the tool by their names, wherever they ask from. */
function requirePart(name) {
  if (!name.startsWith('.')) return require(name);
  const part = basename(name);
  const known = parts.get(part);
  if (known !== undefined) return known.module.exports;
  const path = join(dist, part === entry ? part : join('parts', part));
  // The build writes ASCII alone: one byte a character is the quick way to a text.
  const code = `(function (exports, require, module, __filename, __dirname) {${readFileSync(path, 'latin1')}\n})`;
  const script = new Script(code, { filename: path, cachedData: cacheOf(path) });
  const module = { exports: {} };
  parts.set(part, { module, script, path });
  script.runInThisContext()(module.exports, requirePart, module, path, join(path, '..'));
  return module.exports;
}

/** `main` of src/cli. */
exports.loadTool = () => requirePart(`./${entry}`);

/** Of each part that was loaded: the path of its cache, and what belongs there, functions used until now compiled. */
exports.compiledParts = () =>
  [...parts.values()]
    .filter(({ path }) => basename(path) !== entry)
    .map(({ path, script }) => ({ path: `${path}.cache`, content: script.createCachedData() }));
