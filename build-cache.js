// Keeps V8's compiled form beside each part of the built tool: of the functions that the help and the demonstration
// use. Whatever else a command needs is compiled when it is reached.
import { writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';

const require = createRequire(import.meta.url);

function silentHost() {
  const stream = { columns: 80, write: () => {} };
  return { stdin: {}, stdout: stream, stderr: stream, env: {}, onInterrupt: () => () => {} };
}

export async function keepCompiled() {
  const { compiledParts, loadTool } = require('./bin/load-tool.js');
  for (const words of [['--help'], ['demo']]) {
    const exit = await loadTool().main(words, silentHost());
    if (exit !== 0)
      throw new Error(`slotproof ${words.join(' ')} ended with ${exit} right after it was built`);
  }
  for (const { path, content } of compiledParts()) writeFileSync(path, content);
}
