// The key from which marks in place of names are made: random, of this workspace alone, never packed. Lost, the next
// packet without names has other marks; known to others, they could try out names.

import { Failure } from '../../words/failure.ts';
import type { Context } from '../context.ts';

const keyBytes = 32;

export function nameKey({
  files,
  random,
  workspace,
}: Pick<Context, 'files' | 'random' | 'workspace'>): Uint8Array {
  const path = `${workspace.root}/name-key`;
  if (files.facts(path) === undefined) {
    workspace.make();
    const made = Array.from(random.bytes(keyBytes), (byte) => byte.toString(16).padStart(2, '0')).join('');
    try {
      files.writeNew(path, [new TextEncoder().encode(`${made}\n`)]);
    } catch (error) {
      // Another program made one in the same moment: that one is used.
      if (!(error instanceof Failure && error.facts.code === 'file-exists')) throw error;
    }
  }
  const text = files.readText(path, 1000).trim();
  if (/^[0-9a-f]{64}$/.test(text))
    return Uint8Array.from(text.match(/../g) ?? [], (pair) => Number.parseInt(pair, 16));
  throw new Failure({
    code: 'name-key-damaged',
    exit: 2,
    summary: 'The key for marks in place of names cannot be read.',
    where: path,
    next: 'Move the file away; a new one is made, and names get other marks than before.',
  });
}
