// `cards --known`, `--label` and `--retire`: what the record knows of cards, their labels as text, PDF and code, and what a
// card tells that comes back from a unit.

import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { demoDownload } from '../../src/manifest/demo-firmware.ts';
import { mtool, putFile } from '../support/card-images.ts';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { demoCatalogue } from '../support/demo-world.ts';
import { codeOnPage, pdfInfo, pdfText } from '../support/pdf-pages.ts';
import { type CliResult, runCli } from '../support/run-cli.ts';

const { folder, workspace } = makeDemoWorkspace();
afterAll(() => rmSync(folder, { recursive: true }));

const bare = { table: 'none' } as const;
const inFolder = (name: string) => join(folder, name);
const run = (...args: string[]) => runCli(args, { workspace });
const serial = 'TB8120000834';

async function must(...args: string[]): Promise<CliResult> {
  const result = await run(...args, '--as', 'R. Quill', '--json');
  expect(result.json.error).toBeUndefined();
  expect(result.exit).toBe(0);
  return result;
}

function download(id: string): string {
  const release = demoCatalogue().releases.find((one) => `${one.product}@${one.version}` === id)!;
  const { name, bytes } = demoDownload(release);
  const path = inFolder(`${release.version}-${name}`);
  writeFileSync(path, bytes);
  return path;
}

const prepare = (card: string, release: string, size: string, ...more: string[]) =>
  must(
    'prepare',
    inFolder(card),
    '--for',
    release,
    '--from',
    download(release),
    '--fresh',
    '--size',
    size,
    ...more,
  );
const known = async (card: string) =>
  (await must('cards', '--known')).json.known.find((one: { card: string }) => one.card === card);

beforeAll(async () => {
  await prepare('hearth.img', 'hearth-90@2.6.0', '4GB', '--card', 'kf-03');
  await must(
    'units',
    'add',
    serial,
    '--product',
    'hearth-90',
    '--site',
    'Sorrel Farm',
    '--hardware',
    'B',
    '--version',
    '2.5.3',
  );
});

describe('known', () => {
  test('by its name, with all that the record says of it', async () => {
    expect(await known('KF-03')).toMatchObject({
      release: 'hearth-90@2.6.0',
      standing: 'ready',
      preparedBy: 'R. Quill',
      readBack: 'image',
      sizeBytes: 4e9,
      checked: null,
      uses: [],
      retired: null,
    });
    await must(
      'log',
      serial,
      'updated',
      '--version-read',
      '2.6.0',
      '--release',
      'hearth-90@2.6.0',
      '--card',
      'KF-03',
    );
    // Units of this product leave a card as it is.
    expect(await known('KF-03')).toMatchObject({ standing: 'ready', uses: [{ serial, outcome: 'updated' }] });
  });

  test('an image file without a name goes by its path; a name is part of what a fresh layout is made of', async () => {
    const { json } = await prepare('plain.img', 'hearth-90@2.6.0', '4GB');
    expect(json.name).toBeNull();
    const plain = await known(inFolder('plain.img'));
    expect(plain.standing).toBe('ready');
    expect(plain.volumeId).not.toBe((await known('KF-03')).volumeId);
  });

  test('for people: 60 columns, no control characters, the counts last', async () => {
    const { stdout } = await runCli(['cards', '--known', '--no-color'], { workspace, columns: 60 });
    // A path is left whole.
    for (const line of stdout.split('\n'))
      if (!line.includes('/')) expect(line.length, line).toBeLessThanOrEqual(60);
    expect(stdout).toContain('KF-03\n  hearth-90@2.6.0, 4.0 GB');
    expect(stdout.trim().split('\n').at(-1)).toMatch(/^\d cards? on record, \d ready$/);
  });

  test('where there is no record yet', async () => {
    const empty = makeDemoWorkspace();
    const { json, exit } = await runCli(['cards', '--known', '--json'], { workspace: empty.workspace });
    expect(json).toEqual({ command: 'cards', known: [] });
    expect(exit).toBe(0);
    expect(existsSync(join(empty.workspace, 'record.db'))).toBe(false);
    rmSync(empty.folder, { recursive: true });
  });

  test.each(['A B', '-X', 'ABCDEFGHIJKLM', '../A', ''])('%j is no name', async (name) => {
    const { json, exit } = await run(
      ...['prepare', inFolder('never.img'), '--for', 'hearth-90', '--fresh', '--size', '4GB'],
      ...['--card', name, '--as', 'R. Quill', '--json'],
    );
    expect([exit, json.error.code]).toEqual([2, 'bad-card-name']);
    expect(existsSync(inFolder('never.img'))).toBe(false);
  });
});

describe('a look at a card', () => {
  test('is on record where the card is known, with what stood against it', async () => {
    const card = inFolder('looked.img');
    await prepare('looked.img', 'hearth-90@2.6.0', '4GB', '--card', 'KF-05');
    // It goes by its name; the file alone does not tell that it is the one.
    expect((await run('check', card, '--for', 'hearth-90@2.6.0', '--json')).json.entry).toBeUndefined();
    const plain = inFolder('plain.img');
    const { json } = await run('check', plain, '--for', 'hearth-90@2.6.0', '--json');
    expect(json.entry).toMatchObject({ seq: expect.any(Number) });
    expect((await known(plain)).checked).toMatchObject({ verdict: 'ready', stops: [], by: 'not said' });
    putFile(plain, { table: 'mbr', startSector: 8192 }, 'STRAY.TXT', new TextEncoder().encode('x'));
    await run('check', plain, '--for', 'hearth-90@2.6.0', '--json', '--as', 'M. Tansy');
    expect(await known(plain)).toMatchObject({
      standing: 'not-ready',
      checked: { verdict: 'fixable', stops: ['stray-file'], by: 'M. Tansy' },
    });
    // Asked for no release, a look says nothing of that, and takes nothing back.
    await run('check', plain, '--json');
    expect((await known(plain)).standing).toBe('not-ready');
    mtool('mdel', plain, { table: 'mbr', startSector: 8192 }, ['::/STRAY.TXT']);
    await run('check', plain, '--for', 'hearth-90@2.6.0', '--json');
    expect((await known(plain)).standing).toBe('ready');
  });

  test('does not make a record where there is none, nor fail where it cannot be written to', async () => {
    const empty = makeDemoWorkspace();
    const options = { workspace: empty.workspace };
    await runCli(['check', inFolder('plain.img'), '--json'], options);
    expect(existsSync(join(empty.workspace, 'record.db'))).toBe(false);
    writeFileSync(join(empty.workspace, 'record.db'), 'no record at all');
    const { json, exit } = await runCli(
      ['check', inFolder('plain.img'), '--for', 'hearth-90@2.6.0', '--json'],
      options,
    );
    // It is looked at all the same; only what may be withdrawn there cannot be told.
    expect([exit, json.verdict, json.entry]).toEqual([3, 'unfit', undefined]);
    expect(json.findings.map(({ code }: { code: string }) => code)).toEqual(['withdrawals-unread']);
    rmSync(empty.folder, { recursive: true });
  });
});

describe('a withdrawn release', () => {
  test('is told of the card that carries it, and gets no label', async () => {
    const text = join(workspace, 'manifests', 'tarnholt', 'hearth-90-2.6.0.yaml');
    const before = readFileSync(text, 'utf8');
    writeFileSync(text, `${before}\nwithdrawn: { on: 2026-11-02, why: Cabinets do not restart }\n`);
    expect(await known('KF-03')).toMatchObject({ standing: 'withdrawn' });
    const label = await run('cards', '--label', 'KF-03', '--json');
    expect([label.exit, label.json.unready]).toEqual([3, [{ card: 'KF-03', standing: 'withdrawn' }]]);
    writeFileSync(text, before);
  });
});

describe('labels', () => {
  const sha256 = () => known('KF-03').then(({ sha256 }: { sha256: string }) => sha256);

  test('as text, in any case of the name; several at once', async () => {
    const { stdout, exit } = await run('cards', '--label', 'kf-03', 'plain.img');
    expect(exit).toBe(0);
    const first = (await sha256()).slice(0, 16).match(/.{4}/g)!.join(' ');
    for (const part of [
      '| KF-03 ',
      '| plain.img ',
      'hearth-90@2.6.0',
      'Hearth 90',
      `sha256 ${first} …`,
      'by R. Quill',
    ])
      expect(stdout).toContain(part);
    const widths = new Set(
      stdout
        .trim()
        .split('\n')
        .filter(Boolean)
        .map((line) => [...line].length),
    );
    expect(widths.size).toBe(1);
  });

  test('as PDF of 80 by 40 mm, a page each, with a code that says the same; the same bytes again', async () => {
    const out = inFolder('labels.pdf');
    await must('cards', '--label', 'KF-03', 'plain.img', '--format', 'pdf', '--out', out);
    const bytes = readFileSync(out);
    const [page = '', second = ''] = pdfText(bytes);
    for (const part of ['KF-03', 'hearth-90@2.6.0', 'for revisions', 'prepared 20', 'by R. Quill'])
      expect(page).toContain(part);
    expect(second).toContain('plain.img');
    expect(pdfInfo(bytes)).toMatch(/Page size: +226\.77\d* x 113\.38\d* pts/);
    const code = `slotproof-card KF-03 hearth-90@2.6.0 ${(await sha256()).slice(0, 16)}`;
    expect(codeOnPage(bytes, 200)).toBe(code);
    const again = inFolder('again.pdf');
    await must('cards', '--label', 'KF-03', 'plain.img', '--format', 'pdf', '--out', again);
    expect(readFileSync(again).equals(bytes)).toBe(true);
    const there = await run('cards', '--label', 'KF-03', '--format', 'pdf', '--out', out, '--json');
    expect([there.exit, there.json.error.code]).toEqual([2, 'file-exists']);
  });

  test('none of a card that nobody knows, and no PDF without a file', async () => {
    const unknown = await run('cards', '--label', 'KF-3', '--json');
    expect([unknown.exit, unknown.json.error.code]).toEqual([2, 'unknown-card']);
    expect(unknown.json.error.seen).toContain('KF-03');
    const nowhere = await run('cards', '--label', 'KF-03', '--format', 'pdf', '--json');
    expect([nowhere.exit, nowhere.json.error.code]).toEqual([2, 'option-missing']);
  });
});

describe('retired', () => {
  test('it is asked after no more, and comes back when it is prepared', async () => {
    await prepare('gone.img', 'hearth-90@2.6.0', '4GB', '--card', 'KF-09');
    const without = await run('cards', '--retire', 'KF-09', '--json');
    expect([without.exit, without.json.error.expected]).toEqual([2, '--why']);
    const { json } = await must('cards', '--retire', 'KF-09', '--why', 'lost on site');
    expect(json).toMatchObject({ card: 'KF-09', retired: true, entry: { seq: expect.any(Number) } });
    expect(await known('KF-09')).toMatchObject({ standing: 'retired', retired: { why: 'lost on site' } });
    expect((await must('cards', '--retire', 'KF-09', '--why', 'again')).json.entry).toBeNull();
    rmSync(inFolder('gone.img'));
    await prepare('gone.img', 'hearth-90@2.6.0', '4GB', '--card', 'KF-09');
    expect(await known('KF-09')).toMatchObject({ standing: 'ready', retired: null });
  });
});

describe('a card that comes back from a unit', () => {
  const codes = (json: { findings: { code: string }[] }) => json.findings.map(({ code }) => code);

  test('of a kind that renames the firmware file', async () => {
    const weir = inFolder('weir.img');
    await prepare('weir.img', 'weir-18@2026-10-05', '1GB');
    const before = await run('check', weir, '--for', 'weir-18@2026-10-05', '--json');
    expect([before.json.verdict, codes(before.json)]).toEqual(['ready', []]);
    const placed = {
      table:
        readFileSync(weir)
          .subarray(510, 512)
          .equals(Buffer.from([0x55, 0xaa])) && readFileSync(weir)[0] !== 0xeb
          ? 'mbr'
          : 'none',
      startSector: 8192,
    } as const;
    mtool('mren', weir, placed, ['::/LOAD/WEIR18.PKG', 'WEIR18.OLD']);
    const after = await run('check', weir, '--for', 'weir-18@2026-10-05', '--json');
    expect(after.json.verdict).toBe('fixable');
    expect(codes(after.json)).toContain('changed-by-unit');
    expect(codes(after.json)).toContain('image-misnamed');
  });

  test('of a kind that leaves its result: told to take it in first; other files are no result', async () => {
    const kerb = inFolder('kerb.img');
    await prepare('kerb.img', 'kerb-22@126', '500MB');
    putFile(kerb, bare, 'OTHER.LOG', new TextEncoder().encode('nothing'));
    const other = await run('check', kerb, '--for', 'kerb-22@126', '--json');
    expect(codes(other.json)).not.toContain('result-on-card');
    putFile(
      kerb,
      bare,
      'KERB22.LOG',
      new TextEncoder().encode('KERB22 TKR212345678901 FW=126 RESULT=DONE\n'),
    );
    const after = await run('check', kerb, '--for', 'kerb-22@126', '--json');
    expect(codes(after.json)).toContain('result-on-card');
    expect(after.json.verdict).toBe('ready');
  });
});
