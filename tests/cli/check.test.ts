// `check` as it is called: the fields of its JSON object, its exit codes, its text, and bad input; nothing on the card
// or in the workspace changes.

import { createHash } from 'node:crypto';
import { chmodSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { type CardRecipe, makeCardFile, mtool, putFile, temporaryFolder } from '../support/card-images.ts';
import { olderPumpImage, pumpImage, pumpWorkspace } from '../support/pump-workspace.ts';
import { runCli } from '../support/run-cli.ts';

const recipe: CardRecipe = {
  sizeBytes: 4 << 20,
  table: 'mbr',
  bits: 16,
  sectorsPerCluster: 4,
  label: 'CARD',
  files: [],
};
const folder = temporaryFolder();
const card = join(folder, 'tonight.img');
let workspace = '';

beforeAll(() => {
  workspace = pumpWorkspace();
  makeCardFile(card, { ...recipe, sizeBytes: 16 << 20, files: [{ path: 'RILL40.FWU', bytes: pumpImage }] });
});

const sha256 = (path: string): string => createHash('sha256').update(readFileSync(path)).digest('hex');
const run = (...args: string[]) => runCli(['check', ...args], { workspace });
const another = (name: string): string => {
  const path = join(folder, name);
  writeFileSync(path, readFileSync(card));
  return path;
};

describe('a card that is ready', () => {
  test('every field of the object', async () => {
    const { exit, json, stderr } = await run(card, '--for', 'rill-40@4.2.0', '--json');
    expect(stderr).toBe('');
    expect(exit).toBe(0);
    expect(json).toEqual({
      command: 'check',
      verdict: 'ready',
      release: 'rill-40@4.2.0',
      card: {
        kind: 'image-file',
        path: card,
        sizeBytes: 16 << 20,
        partitionTable: 'mbr',
        partitions: [
          {
            number: 1,
            startBytes: 1 << 20,
            sizeBytes: 15 << 20,
            type: '06',
            active: false,
            fileSystem: 'fat16',
          },
        ],
        fileSystem: 'fat16',
        label: 'CARD',
        volumeId: '1A2B-3C4D',
        clusterBytes: 2048,
        freeBytes: expect.any(Number),
        files: [{ path: 'RILL40.FWU', bytes: 5000, role: 'image' }],
        emptyFolders: [],
      },
      findings: [],
    });
    const free = /([\d ]+) bytes free/.exec(mtool('mdir', card, recipe, ['::/']))?.[1]?.replaceAll(' ', '');
    expect(json.card.freeBytes).toBe(Number(free));
  });

  test('the text says so in its last line, within 60 columns where no path is longer', async () => {
    const { stdout } = await runCli(['check', card, '--for', 'rill-40'], { workspace, columns: 60 });
    expect(stdout.trimEnd().split('\n').at(-1)).toMatch(/^ready: /);
    expect(stdout).toContain('RILL40.FWU, 5,000 bytes, firmware file');
  });

  test('PRODUCT means its newest release that is not withdrawn', async () => {
    expect((await run(card, '--for', 'rill-40', '--json')).json.release).toBe('rill-40@4.2.0');
  });

  test('for the release before it is another release’s card', async () => {
    const { exit, json } = await run(card, '--for', 'rill-40@4.1.0', '--json');
    expect([exit, json.verdict]).toEqual([3, 'fixable']);
    expect(json.findings.map((one: { code: string }) => one.code)).toEqual(['other-image']);
  });

  test('without a release: sound, and the file is known', async () => {
    const { exit, json, stdout } = await run(card, '--json');
    expect([exit, json.verdict, json.release]).toEqual([0, 'sound', null]);
    expect(json.card.files[0].role).toBe('image');
    expect(stdout.split('\n').filter(Boolean)).toHaveLength(1);
    expect((await run(card)).stdout).toContain('(rill-40 4.2.0)');
  });

  test('nothing is changed, on the card or in the workspace', async () => {
    const fresh = pumpWorkspace();
    // The manifests as last read are the one thing that is kept; only to be quicker.
    const inIt = () => readdirSync(fresh).filter((name) => name !== 'catalogue.json');
    const before = [sha256(card), statSync(card).mtimeMs, inIt()];
    await runCli(['check', card, '--for', 'rill-40'], { workspace: fresh });
    expect([sha256(card), statSync(card).mtimeMs, inIt()]).toEqual(before);
  });
});

describe('a card that is not', () => {
  test('a finding has its fields and nothing else; the most important is last', async () => {
    const path = another('littered.img');
    putFile(path, recipe, 'System Volume Information/WPSettings.dat', new Uint8Array(12));
    putFile(path, recipe, 'DCIM/PIC.JPG', olderPumpImage);
    const { exit, json, stdout } = await run(path, '--for', 'rill-40', '--json');
    expect([exit, json.verdict]).toEqual([3, 'fixable']);
    expect(json.findings).toHaveLength(2);
    for (const one of json.findings) {
      expect(Object.keys(one).sort()).toEqual(
        ['code', 'next', 'seen', 'severity', 'summary', 'where'].sort(),
      );
      expect(one.severity).toBe('stop');
    }
    expect(
      json.card.files.map((file: { path: string; role: string }) => [file.path, file.role]).sort(),
    ).toEqual([
      ['DCIM/PIC.JPG', 'stray'],
      ['RILL40.FWU', 'image'],
      ['System Volume Information/WPSettings.dat', 'litter'],
    ]);
    expect(stdout).not.toContain('\u001b');
    expect((await run(path, '--for', 'rill-40')).stdout.trimEnd().split('\n').at(-1)).toMatch(/^fixable: /);
  });

  test('a write-protected card is read all the same, and it is said', async () => {
    const path = another('locked.img');
    chmodSync(path, 0o444);
    const { exit, json } = await run(path, '--for', 'rill-40', '--json');
    expect([exit, json.verdict]).toEqual([0, 'ready']);
    expect(json.findings.map((one: { code: string; severity: string }) => [one.severity, one.code])).toEqual([
      ['note', 'write-protected'],
    ]);
  });

  test('control characters in a name do not reach the terminal', async () => {
    const path = another('escape.img');
    putFile(path, recipe, 'a long name to hide in.txt', new Uint8Array(1));
    const bytes = readFileSync(path);
    const at = bytes.indexOf(Buffer.from('ALONGN~1TXT'));
    // In the first long-name slot before the short entry: ESC [ 2 J in place of the first letters.
    bytes.set([0x1b, 0, 0x5b, 0, 0x32, 0, 0x4a, 0], at - 32 + 1);
    writeFileSync(path, bytes);
    const { exit, stdout } = await run(path, '--for', 'rill-40');
    expect(exit).toBe(3);
    expect(stdout).toContain('directory-damaged');
    expect(stdout).toContain('\\x1b');
    expect(stdout).not.toContain('\u001b');
  });
});

describe('for a serial', () => {
  test('the next release on that unit’s path; where there is none, why', async () => {
    const own = pumpWorkspace();
    const add = (serial: string, ...more: string[]) =>
      runCli(['units', 'add', serial, '--site', 'Alder Farm', '--as', 'Lead', ...more], { workspace: own });
    const ask = (serial: string) => runCli(['check', card, '--for', serial, '--json'], { workspace: own });
    expect((await add('TRB12345674', '--version', '4.0.0')).exit).toBe(0);
    expect((await ask('TRB12345674')).json).toMatchObject({ verdict: 'ready', release: 'rill-40@4.2.0' });
    expect((await ask('trb12345674')).json).toMatchObject({ verdict: 'ready' });
    await add('TRA00000018');
    expect(await ask('TRA00000018')).toMatchObject({
      exit: 2,
      json: { error: { code: 'version-not-known' } },
    });
    await add('TRA00000026', '--version', '4.2.0');
    expect(await ask('TRA00000026')).toMatchObject({
      exit: 2,
      json: { error: { code: 'nothing-to-install' } },
    });
  });
});

describe('bad input', () => {
  test.each([
    ['an empty file', new Uint8Array(), 'unsound'],
    ['one byte', new Uint8Array(1), 'unsound'],
    ['511 bytes', new Uint8Array(511).fill(0xeb), 'unsound'],
    ['text', Buffer.from('this is no card\n'.repeat(100)), 'unsound'],
  ])('%s: a finding, exit 3', async (_, bytes, verdict) => {
    const path = join(folder, 'odd.img');
    writeFileSync(path, bytes);
    const { exit, json } = await run(path, '--json');
    expect([exit, json.verdict, json.card.sizeBytes]).toEqual([3, verdict, bytes.length]);
    expect(json.findings.map((one: { code: string }) => one.code)).toEqual(['file-system-not-allowed']);
    expect(json.card).toMatchObject({
      fileSystem: null,
      label: null,
      volumeId: null,
      clusterBytes: null,
      freeBytes: null,
      files: [],
    });
    expect((await run(path, '--for', 'rill-40', '--json')).json.verdict).toBe('unfit');
  });

  test.each([
    ['a file that is not there', 'nowhere.img', []],
    ['a file that is no card image', 'notes.txt', []],
    ['a folder', 'folder.img', []],
    ['a product that is not known', 'tonight.img', ['--for', 'rill-41']],
    ['a version that is not known', 'tonight.img', ['--for', 'rill-40@9.9.9']],
    ['a serial that is not registered', 'tonight.img', ['--for', 'TRB12345674']],
  ])('%s: exit 2, one error', async (_, name, more) => {
    mkdirSync(join(folder, 'folder.img'), { recursive: true });
    writeFileSync(join(folder, 'notes.txt'), 'x');
    const { exit, json, stderr } = await run(join(folder, name), ...more, '--json');
    expect(exit).toBe(2);
    expect(Object.keys(json)).toEqual(['command', 'error']);
    expect(json.error.next).not.toBe('');
    expect(stderr).toBe('');
  });

  test('no card and nobody to ask', async () => {
    const { exit, json } = await run('--no-input', '--json');
    expect([exit, json.error.code]).toEqual([2, 'answer-missing']);
  });
});
