// Several programs start at once on a workspace without a record, and write as fast as they can: one record, one
// laptop id, one chain without a gap, nothing lost.
import { spawn } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { bundleForNode } from '../support/bundle-for-node.ts';
import { sqlitePlace } from '../support/sqlite-place.ts';

function write(writer: string, path: string, name: string, count: number): Promise<string[]> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [writer, path, String(count), name]);
    let output = '';
    let complaints = '';
    child.stdout.setEncoding('utf8').on('data', (text: string) => {
      output += text;
    });
    child.stderr.setEncoding('utf8').on('data', (text: string) => {
      complaints += text;
    });
    child.on('close', (code) => {
      if (code === 0) resolve(output.trim().split('\n'));
      else reject(new Error(`${name} ended with ${code}: ${complaints}`));
    });
  });
}

test('six writers at once, from nothing', async () => {
  const place = sqlitePlace();
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-writer-'));
  const writer = await bundleForNode('record-writer', folder);
  try {
    const names = ['a', 'b', 'c', 'd', 'e', 'f'];
    const said = (await Promise.all(names.map((name) => write(writer, place.path, name, 30)))).flat();
    expect(said).toHaveLength(6 * 60);
    const store = place.open('read');
    const found: string[] = [];
    for await (const { id, hash } of store.entries({ laptop: store.laptop })) found.push(`${id} ${hash}`);
    expect([...found].sort()).toEqual([...said].sort());
    expect(found.map((line) => line.split(' ')[0])).toEqual(found.map((_, i) => `${store.laptop}-${i + 1}`));
    expect(await store.check()).toMatchObject({ entries: 360, units: 120, findings: [] });
    store.close();
    // The record and the two notes beside it; nothing half-made.
    expect(readdirSync(place.folder).sort()).toEqual(['record.db', 'record.db-end', 'record.db-place']);
  } finally {
    place.remove();
    rmSync(folder, { recursive: true, force: true });
  }
});
