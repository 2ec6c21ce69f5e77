// `test-card` as it is called: what it says of a sound card, what it leaves untouched, how it is stopped and goes on, and
// what it refuses. Cards that lie are played at the block port: tests/unit/transfer/test-card.test.ts.

import { spawn } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { fsckFat, makeCardFile, takeFile, temporaryFolder } from '../support/card-images.ts';
import { firmwareBytes } from '../support/card-rule.ts';
import { ExfatPlant, fsckExfat, makeExfatBytes } from '../support/exfat-images.ts';
import { Plant } from '../support/plant.ts';
import { runCli } from '../support/run-cli.ts';

const MiB = 2 ** 20;
const folder = temporaryFolder();
const workspace = join(folder, 'workspace');
const file = { path: 'DCIM/IMG_1.JPG', bytes: firmwareBytes(300_000, 4) };
const run = (...args: string[]) => runCli(['test-card', ...args], { workspace });

function fatCard(name: string, sizeBytes = 24 * MiB) {
  const path = join(folder, name);
  const recipe = {
    sizeBytes,
    table: 'mbr',
    bits: 16,
    sectorsPerCluster: sizeBytes > 200 * MiB ? 32 : 8,
    files: [file],
  } as const;
  makeCardFile(path, recipe);
  return { path, recipe };
}

describe('a sound card', () => {
  test('holds; every sector that is not free is as it was', async () => {
    const { path, recipe } = fatCard('fat.img');
    const before = new Uint8Array(readFileSync(path));
    const { json, exit, stderr } = await run(path, '--confirm', path, '--json');
    expect(stderr).toBe('');
    expect(exit).toBe(0);
    expect(json).toMatchObject({
      command: 'test-card',
      verdict: 'holds',
      card: path,
      claimedBytes: 24 * MiB,
      realBytes: 24 * MiB,
      confidence: 0.999,
      fraud: 0.05,
      full: false,
      method: 'image',
      findings: [],
    });
    const after = new Uint8Array(readFileSync(path));
    const plant = new Plant(after, 2048);
    let changed = 0;
    for (let cluster = 2; cluster < plant.clusters + 2; cluster++) {
      const at = plant.clusterAt(cluster);
      const same =
        Buffer.compare(
          before.subarray(at, at + plant.clusterBytes),
          after.subarray(at, at + plant.clusterBytes),
        ) === 0;
      const isFree = plant.view.getUint16(plant.fatAt + cluster * 2, true) === 0;
      if (!same) changed++;
      if (!isFree) expect(same, `cluster ${cluster}`).toBe(true);
    }
    expect(changed).toBeGreaterThan(500);
    expect(Buffer.compare(before.subarray(0, plant.dataAt), after.subarray(0, plant.dataAt))).toBe(0);
    expect(fsckFat(path, recipe).exit).toBe(0);
    expect(Buffer.compare(takeFile(path, recipe, file.path)!, file.bytes)).toBe(0);
    expect(
      existsSync(join(workspace, 'card-tests')) ? readdirSync(join(workspace, 'card-tests')) : [],
    ).toEqual([]);
  });

  test('in full, on exFAT: the bitmap and the files are as they were', async () => {
    const path = join(folder, 'exfat.img');
    const made = makeExfatBytes({ sizeBytes: 12 * MiB, files: [file] });
    writeFileSync(path, made);
    const { json, exit } = await run(path, '--confirm', path, '--full', '--json');
    expect([exit, json.verdict, json.confidence]).toEqual([0, 'holds', 1]);
    expect(json.testedBytes).toBe(json.freeBytes);
    const after = new Uint8Array(readFileSync(path));
    expect(fsckExfat(after)).toMatchObject({ exit: 0 });
    const plant = new ExfatPlant(after);
    for (let cluster = 2; cluster <= plant.clusters + 1; cluster++)
      if (plant.isTaken(cluster)) {
        const at = plant.clusterAt(cluster);
        expect(Buffer.compare(made.subarray(at, at + 4096), after.subarray(at, at + 4096))).toBe(0);
      }
  });

  test('for people: the verdict last, in 60 columns', async () => {
    const { path } = fatCard('people.img');
    const { stdout } = await runCli(['test-card', path, '--confirm', path, '--no-color'], {
      workspace,
      columns: 60,
    });
    expect(stdout.trim().split('\n').at(-1)).toMatch(/^holds: a card that loses 5 % or more/);
    expect(stdout).not.toContain('\u001b');
  });
});

test('a card whose volume reaches beyond its end is tested as far as it goes', async () => {
  const { path } = fatCard('short.img');
  truncateSync(path, 16 * MiB);
  const { json, exit } = await run(path, '--confirm', path, '--json');
  expect([exit, json.verdict, json.claimedBytes]).toEqual([0, 'holds', 16 * MiB]);
  expect(statSync(path).size).toBe(16 * MiB);
});

describe('stopped', () => {
  test('by Ctrl-C: every file is as it was, and the same command goes on from there', async () => {
    const { path, recipe } = fatCard('stopped.img', 500 * MiB);
    const tool = join(import.meta.dirname, '..', '..', 'bin', 'slotproof.js');
    const start = () =>
      spawn(process.execPath, [
        tool,
        'test-card',
        path,
        '--confirm',
        path,
        '--full',
        '--json',
        '--workspace',
        workspace,
      ]);
    const journal = join(workspace, 'card-tests');
    // The long part has begun once something stands in it; until then a stop is a stop, too.
    let stopped = 0;
    for (let wait = 250; wait < 20_000 && stopped === 0; wait *= 1.6) {
      const child = start();
      const ended = new Promise<number | null>((resolve) => child.on('close', resolve));
      await new Promise((resolve) => setTimeout(resolve, wait));
      child.kill('SIGINT');
      const exit = await ended;
      // null: before the tool was listening, and so before it wrote.
      expect([0, 130, null]).toContain(exit);
      expect(fsckFat(path, recipe).exit).toBe(0);
      expect(Buffer.compare(takeFile(path, recipe, file.path)!, file.bytes)).toBe(0);
      if (exit === 130 && existsSync(journal) && readdirSync(journal).length === 1) stopped++;
    }
    expect(stopped).toBe(1);
    const [name = ''] = readdirSync(journal);
    const kept = JSON.parse(readFileSync(join(journal, name), 'utf8'));
    expect(kept.point.writtenBytes).toBeGreaterThan(0);
    expect(statSync(join(journal, name)).mode & 0o077).toBe(0);
    const { json, exit, stderr } = await run(path, '--confirm', path, '--full', '--json');
    expect(stderr).toContain('It goes on from there');
    expect([exit, json.verdict]).toEqual([0, 'holds']);
    expect(readdirSync(journal)).toEqual([]);
  }, 120_000);
});

describe('refused, and nothing is written', () => {
  const untouched = async (path: string, ...args: string[]) => {
    const before = existsSync(path) ? readFileSync(path) : undefined;
    const result = await run(path, ...args, '--json');
    if (before !== undefined) expect(readFileSync(path).equals(before)).toBe(true);
    return [result.exit, result.json.error?.code];
  };
  test('without a word of consent', async () => {
    expect(await untouched(fatCard('a.img').path)).toEqual([2, 'answer-missing']);
  });
  test('where another card is confirmed', async () => {
    expect(await untouched(fatCard('a.img').path, '--confirm', 'b.img')).toEqual([5, 'other-card-confirmed']);
  });
  test('a card that is not there', async () => {
    expect(await untouched(join(folder, 'no.img'), '--confirm', join(folder, 'no.img'))).toEqual([
      2,
      'card-absent',
    ]);
  });
  test('a damaged card', async () => {
    const { path } = fatCard('damaged.img');
    const bytes = readFileSync(path);
    const plant = new Plant(bytes, 2048);
    bytes[plant.fatAt + plant.fatBytes + 9] = 0x77;
    writeFileSync(path, bytes);
    expect(await untouched(path, '--confirm', path)).toEqual([3, 'card-unsound']);
  });
  test('a blank card, which is not called damaged; what has no file system and is not blank is', async () => {
    const path = join(folder, 'blank.img');
    writeFileSync(path, new Uint8Array(2 * MiB));
    expect(await untouched(path, '--confirm', path)).toEqual([3, 'card-unsound']);
    const told = async () => (await run(path, '--confirm', path, '--json')).json.error;
    expect(await told()).toMatchObject({
      summary: expect.stringContaining('holds no file system yet'),
      next: expect.stringContaining(`slotproof prepare ${path} --for RELEASE --fresh`),
    });
    expect((await told()).summary).not.toContain('damaged');
    writeFileSync(path, new Uint8Array(2 * MiB).fill(0x5a, MiB - 1, MiB));
    expect((await told()).summary).toContain('damaged');
  });
  test.each(['0', '100', 'x', '-3'])('a fraud of %s percent', async (percent) => {
    expect(await untouched(fatCard('a.img').path, '--fraud', percent)).toEqual([2, 'bad-share']);
  });
});
