// `collect` and the files that units leave on their cards: from card image files made by stock tools, from a mounted
// card, from a copy. What a unit wrote is a report, never a reading, and the card is only read.

import { spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type CardRecipe, makeCardFile, temporaryFolder } from '../support/card-images.ts';
import { kerbSerial, type PocketWorkspace, pocketWorkspace } from '../support/pocket-outcomes.ts';

let workspace: PocketWorkspace;
let [one, two] = ['', ''];
let folder = '';
beforeEach(async () => {
  workspace = await pocketWorkspace();
  [one, two] = workspace.units as [string, string];
  folder = temporaryFolder();
});
afterEach(() => workspace.remove());

const line = (serial: string, status = 'DONE', version = '126') =>
  `KERB22 ${serial} FW=${version} RESULT=${status}\r\n`;
const bytesOf = (text: string) => new TextEncoder().encode(text);
function card(text: string | Uint8Array, path = 'KERB22.LOG', more: Partial<CardRecipe> = {}): string {
  const file = join(folder, `card-${readdirSync(folder).length}.img`);
  const bytes = typeof text === 'string' ? bytesOf(text) : text;
  const files = [
    { path: 'KERB22.DAT', bytes: new Uint8Array(3000) },
    { path, bytes },
  ];
  makeCardFile(file, { sizeBytes: 16 * 2 ** 20, table: 'none', bits: 16, files, ...more });
  return file;
}
const digest = (path: string) => spawnSync('sha256sum', [path], { encoding: 'utf8' }).stdout.slice(0, 64);
const codesOf = (json: any): string[] => json.refused.map(({ code }: any) => code);

describe('what is taken in', () => {
  test('updated: reported, so to be confirmed, never current; the card is as it was', async () => {
    const path = card(line(one));
    const before = digest(path);
    const { exit, json } = await workspace.collect(path);
    expect([exit, json.refused]).toEqual([0, []]);
    expect(json.taken).toMatchObject([
      {
        source: `${path}:KERB22.LOG`,
        form: 'result-file',
        sheet: null,
        serial: one,
        outcome: 'updated',
        evidence: 'reported',
        release: 'kerb-22@126',
        status: 'to-confirm',
        by: 'R. Quill',
      },
    ]);
    expect(json.taken[0].notices.join(' ')).toContain('read the version from the unit to confirm it');
    expect(digest(path)).toBe(before);
    const [row] = workspace.outcomes();
    expect(row?.body).toEqual({
      serial: one,
      outcome: 'updated',
      evidence: 'reported',
      release: 'kerb-22@126',
      card: path,
      note: 'The unit wrote DONE, version 126.',
      collected: {
        form: 'result-file',
        id: expect.stringMatching(/^[0-9a-f]{32}$/),
        sha256: expect.any(String),
      },
    });
    const [kept] = readdirSync(join(workspace.path, 'evidence'));
    expect(row?.body).toMatchObject({ collected: { sha256: kept?.replace('.txt', '') } });
    expect(readFileSync(join(workspace.path, 'evidence', kept ?? ''), 'utf8')).toBe(line(one));
  });

  test('then read from the unit: current; and the same file again adds nothing', async () => {
    const path = card(line(one));
    await workspace.collect(path);
    const read = await workspace.cli('log', one, 'already-current', '--version-read', '126', '--as', 'x');
    expect(read.json.status).toBe('current');
    expect(codesOf((await workspace.collect(path)).json)).toEqual(['taken-already']);
    expect((await workspace.cli('units', 'show', one)).json.unit).toMatchObject({ status: 'current' });
  });

  test('what our own people read stands above the file', async () => {
    await workspace.cli('log', one, 'updated', '--version-read', '126', '--as', 'x');
    const { exit, json } = await workspace.collect(card(line(one)));
    expect([exit, codesOf(json)]).toEqual([3, ['known-already']]);
    expect((await workspace.cli('units', 'show', one)).json.unit).toMatchObject({ status: 'current' });
  });

  test('failed: the unit is failed, whatever it was left as', async () => {
    const { json } = await workspace.collect(card(line(one, 'E47', '121')));
    expect(json.taken).toMatchObject([
      { outcome: 'failed', evidence: 'reported', status: 'failed', left: null },
    ]);
    expect(json.taken[0].notices.join(' ')).toContain('How it was left is not said');
  });

  test('a unit of which no version was known', async () => {
    const serial = kerbSerial(40);
    await workspace.cli('units', 'add', serial, '--site', 'Birch');
    expect((await workspace.collect(card(line(serial)))).json.taken).toMatchObject([
      { status: 'to-confirm' },
    ]);
  });

  test('a stepping stone leaves the rest of the path to do', async () => {
    const serial = kerbSerial(41);
    expect(
      (await workspace.cli('units', 'add', serial, '--site', 'B', '--version', '118')).json,
    ).toMatchObject({
      added: 1,
    });
    const { json } = await workspace.collect(card(line(serial, 'DONE', '121')));
    expect(json.taken).toMatchObject([{ release: 'kerb-22@121' }]);
    expect(json.taken[0].status).not.toMatch(/current|confirm/);
  });

  test('from a mounted card, in small letters; and from a copy on the laptop', async () => {
    const mounted = join(folder, 'mounted');
    mkdirSync(mounted);
    writeFileSync(join(mounted, 'kerb22.log'), line(one));
    writeFileSync(join(mounted, 'KERB22.DAT'), 'x');
    expect((await workspace.collect(mounted)).json.taken).toMatchObject([
      { serial: one, form: 'result-file' },
    ]);
    const copy = workspace.file('KERB22.LOG', line(two));
    expect((await workspace.collect(copy)).json.taken).toMatchObject([{ serial: two }]);
    expect(codesOf((await workspace.collect(card(line(two)))).json)).toEqual(['taken-already']);
  });

  test('when it was and who was there, where that is said', async () => {
    await workspace.collect(card(line(one)), '--at', '2026-05-01T09:00', '--by', 'M. Tansy');
    expect(workspace.outcomes()[0]).toMatchObject({ typedBy: 'R. Quill', doneBy: 'M. Tansy' });
    expect(workspace.outcomes()[0]?.claimedAt).toMatch(/^2026-05-01T09:00/);
  });

  test('with a partition table, on FAT12, on FAT32', async () => {
    const recipes: Partial<CardRecipe>[] = [
      { table: 'mbr' },
      { bits: 12, sizeBytes: 4 * 2 ** 20 },
      { bits: 32, sizeBytes: 64 * 2 ** 20, sectorsPerCluster: 1 },
    ];
    for (const [i, recipe] of recipes.entries()) {
      const serial = workspace.units[i]!;
      expect((await workspace.collect(card(line(serial), 'KERB22.LOG', recipe))).json.taken).toMatchObject([
        { serial },
      ]);
    }
  });
});

describe('what is refused', () => {
  test.each([
    ['not registered', () => line(kerbSerial(77)), 'unit-unknown'],
    ['a slip in the serial', () => line(one.replace(/(\d)(\d)$/, '$2$1')), 'serial-check'],
    ['a status that is none', () => line(one, 'MAYBE'), 'status-unknown'],
    ['a version of no release', () => line(one, 'DONE', '777'), 'release-unknown'],
    ['another text', () => 'hello', 'result-form'],
    ['nothing', () => '', 'result-form'],
    ['two results', () => line(one) + line(one, 'E41'), 'result-several'],
    ['far too much', () => 'x'.repeat(20_000), 'result-too-large'],
  ])('%s', async (_, text, code) => {
    const { exit, json } = await workspace.collect(card(text()));
    expect([exit, codesOf(json), json.taken]).toEqual([3, [code], []]);
    expect(json.refused[0].next).toMatch(/^[A-Z]\S+( \S+)+$/);
    expect(workspace.outcomes()).toEqual([]);
  });

  test('of another unit than the one asked for; retired', async () => {
    const path = card(line(one));
    expect(codesOf((await workspace.collect(path, '--unit', two)).json)).toEqual(['wrong-unit']);
    await workspace.cli('units', 'retire', one);
    expect(codesOf((await workspace.collect(path)).json)).toEqual(['unit-retired']);
  });

  test('a card without one, in another folder, or without a file system', async () => {
    expect(codesOf((await workspace.collect(card(line(one), 'LOGS/KERB22.LOG'))).json)).toEqual([
      'nothing-here',
    ]);
    expect(codesOf((await workspace.collect(card(line(one), 'Kerb22 log.txt'))).json)).toEqual([
      'nothing-here',
    ]);
    const blank = join(folder, 'blank.img');
    writeFileSync(blank, new Uint8Array(1 << 20));
    expect(codesOf((await workspace.collect(blank)).json)).toEqual(['card-unreadable']);
    const tiny = join(folder, 'tiny.img');
    writeFileSync(tiny, 'x');
    expect((await workspace.collect(tiny)).exit).toBe(3);
  });

  test('a file whose chain is broken is not read in part', async () => {
    const path = card(new Uint8Array(5000).fill(0x20));
    const bytes = readFileSync(path);
    const reserved = bytes.readUInt16LE(14) * bytes.readUInt16LE(11);
    const fats = Number(bytes[16]);
    const fatBytes = bytes.readUInt16LE(22) * bytes.readUInt16LE(11);
    const root = reserved + fats * fatBytes;
    const slot = Array.from({ length: 16 }, (_, i) => root + i * 32).find(
      (at) => bytes.toString('latin1', at, at + 11) === 'KERB22  LOG',
    )!;
    const first = bytes.readUInt16LE(slot + 26);
    for (let fat = 0; fat < fats; fat++) bytes.writeUInt16LE(0, reserved + fat * fatBytes + first * 2);
    writeFileSync(path, bytes);
    expect(codesOf((await workspace.collect(path)).json)).toEqual(['result-damaged']);
  });

  test('random damage to a card never gives a bug, nor an outcome that its file does not hold', async () => {
    const path = card(line(one));
    const whole = readFileSync(path);
    const seed = 20261124;
    let state = seed;
    const random = (below: number) => {
      state = (state * 1103515245 + 12345) % 2 ** 31;
      return state % below;
    };
    const paths: string[] = [];
    for (let i = 0; i < 16; i++) {
      const bytes = Uint8Array.from(whole);
      for (let hits = 1 + random(30); hits > 0; hits--) bytes[random(60_000)] = random(256);
      const damaged = join(folder, `damaged-${i}.img`);
      writeFileSync(damaged, bytes);
      paths.push(damaged);
    }
    const { exit, json, stderr } = await workspace.collect(...paths);
    expect([0, 3, 4], stderr).toContain(exit);
    for (const { serial, outcome } of json.taken) expect([serial, outcome]).toEqual([one, 'updated']);
  });

  test('a folder for a card, a card that is a folder, a link to nowhere', async () => {
    const strange = join(folder, 'strange.img');
    mkdirSync(strange);
    expect(codesOf((await workspace.collect(strange)).json)).toEqual(['nothing-here']);
    expect((await workspace.collect('/dev/null')).exit).toBe(3);
  });
});

test('a product whose units leave a file in a folder', async () => {
  const path = join(workspace.path, 'manifests', 'tarnholt', 'kerb-22.yaml');
  writeFileSync(
    path,
    readFileSync(path, 'utf8').replace('  name: KERB22.LOG', '  name: RESULT.TXT\n  folder: LOGS/LAST'),
  );
  const { json } = await workspace.collect(card(line(one), 'LOGS/LAST/RESULT.TXT'));
  expect(json.taken).toMatchObject([{ serial: one }]);
  const mounted = join(folder, 'mounted');
  mkdirSync(join(mounted, 'logs', 'Last'), { recursive: true });
  writeFileSync(join(mounted, 'logs', 'Last', 'result.txt'), line(two));
  expect((await workspace.collect(mounted)).json.taken).toMatchObject([{ serial: two }]);
});
