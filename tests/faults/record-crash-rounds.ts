// Kills a writer at a random moment, again and again on one record: every entry that it said was on the disk is
// there, to the hash, in pairs as they were written, the chain is intact, and the next writer goes on.

import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect } from 'vitest';
import { bundleForNode } from '../support/bundle-for-node.ts';
import { seededNumbers } from '../support/faulty-blocks.ts';
import { sqlitePlace } from '../support/sqlite-place.ts';

export async function killAgainAndAgain(rounds: number): Promise<void> {
  const place = sqlitePlace();
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-writer-'));
  const writer = await bundleForNode('record-writer', folder);
  const said = new Map<string, string>();
  // The moment is the operating system's in the end; the seed gives the same spread of waits again.
  const seed = Number(process.env.SLOTPROOF_SEED ?? Date.now() % 1_000_000);
  console.log(`SLOTPROOF_SEED=${seed}`);
  const numbers = seededNumbers(seed);
  const moments = () => numbers() * 250;
  try {
    for (let round = 0; round < rounds; round++) {
      const lines = await writeUntilKilled(writer, place.path, `w${round}`, moments());
      for (const [id, hash] of lines) said.set(id, hash);
      const store = place.tryOpen('read');
      if (store === undefined) {
        expect(said.size, 'killed before the record was made').toBe(0);
        continue;
      }
      const { entries, findings } = await store.check();
      expect(findings).toEqual([]);
      expect(entries % 2, 'half of a pair').toBe(0);
      for (const [id, hash] of lines) expect((await store.entry(id))?.hash, id).toBe(hash);
      store.close();
    }
    const store = place.open('write');
    for (const [id, hash] of said) expect((await store.entry(id))?.hash, id).toBe(hash);
    expect(said.size).toBeGreaterThan(rounds);
  } finally {
    place.remove();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** The ids and hashes it said, up to the last whole line. */
function writeUntilKilled(
  writer: string,
  path: string,
  name: string,
  afterMs: number,
): Promise<[string, string][]> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [writer, path, '0', name], { stdio: ['ignore', 'pipe', 'pipe'] });
    let output = '';
    let complaints = '';
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      output += text;
    });
    // The clock starts with the first entry: a start takes longer than a write.
    child.stdout.once('data', () => setTimeout(() => child.kill('SIGKILL'), afterMs));
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      complaints += text;
    });
    child.on('close', (_code, signal) => {
      if (signal !== 'SIGKILL') return reject(new Error(`the writer ended by itself: ${complaints}`));
      const lines = output
        .slice(0, output.lastIndexOf('\n') + 1)
        .split('\n')
        .filter(Boolean);
      resolve(lines.map((line) => line.split(' ') as [string, string]));
    });
  });
}
