// `prepare` from argv to exit code and JSON, on card image files made by stock tools; the same tools judge what it
// leaves behind.

import { createHash } from 'node:crypto';
import { chmodSync, existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { type CardRecipe, fsckFat, listFiles, makeCardFile, takeFile } from '../support/card-images.ts';
import {
  anyCard,
  type CardWorkspace,
  imageName,
  makeCardWorkspace,
  testImage,
} from '../support/card-workspace.ts';
import { runCli } from '../support/run-cli.ts';

const MiB = 2 ** 20;
const image = testImage(60_001);
const older = testImage(50_000, 11);
const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');
const text = (value: string) => new TextEncoder().encode(value);
const recipe: CardRecipe = {
  sizeBytes: 16 * MiB,
  table: 'mbr',
  bits: 16,
  sectorsPerCluster: 1,
  label: 'WORK',
};
const litter = [
  { path: 'System Volume Information/WPSettings.dat', bytes: text('settings') },
  { path: '.Trashes/501/plan.txt', bytes: text('a plan in the trash') },
  { path: 'DCIM/IMG_0001.JPG', bytes: testImage(30_000, 5) },
  { path: 'what I need.txt', bytes: text('pliers') },
];
let count = 0;

interface Bench extends CardWorkspace {
  readonly card: string;
  run(...args: readonly string[]): ReturnType<typeof runCli>;
}

function bench(
  files: CardRecipe['files'] = litter,
  rule = anyCard,
  over: Partial<CardRecipe> = {},
  imageFolder = '',
): Bench {
  const made = makeCardWorkspace(
    rule,
    [
      { version: '4.1.0', image: older },
      { version: '4.2.0', image },
    ],
    imageFolder,
  );
  const card = join(made.folder, `card-${count++}.img`);
  makeCardFile(card, { ...recipe, ...over, ...(files === undefined ? {} : { files }) });
  const run = (...args: readonly string[]) => runCli([...args], { workspace: made.workspace });
  return { ...made, card, run };
}

const prepared = (b: Bench, ...more: readonly string[]) => [
  ...['prepare', b.card, '--for', 'rill-40', '--from', b.download('4.2.0'), '--json', '--no-input'],
  ...['--as', 'R. Quill', '--confirm', b.card],
  ...more,
];

function requireAlone(b: Bench, over: Partial<CardRecipe> = {}, path: string = imageName): void {
  const judged = fsckFat(b.card, { ...recipe, ...over });
  expect(judged.exit, judged.text).toBe(0);
  expect(judged.text).not.toMatch(/differ|wrong|summary|dirty|Leaving|reclaim/i);
  expect(listFiles(b.card, { ...recipe, ...over })).toEqual([path]);
  expect(sha256(takeFile(b.card, { ...recipe, ...over }, path) ?? new Uint8Array())).toBe(sha256(image));
}

describe('a littered card', () => {
  it('is tidied, written, read back, and then ready', async () => {
    const b = bench();
    const result = await b.run(...prepared(b));
    expect(result.stderr).toBe('');
    expect(result.exit).toBe(0);
    const { json } = result;
    expect(json).toMatchObject({
      command: 'prepare',
      verdict: 'ready',
      card: b.card,
      release: 'rill-40@4.2.0',
      written: { path: imageName, bytes: image.length, sha256: sha256(image) },
      readBack: { method: 'image', sha256: sha256(image) },
      findings: [],
      entry: { seq: 1 },
    });
    requireAlone(b);
    expect(json.kept.map((file: { path: string }) => file.path)).toEqual([
      '.Trashes/501/plan.txt',
      'DCIM/IMG_0001.JPG',
      'what I need.txt',
    ]);
    for (const { path, keptAt } of json.kept) {
      expect(keptAt.startsWith(join(b.workspace, 'kept'))).toBe(true);
      expect(readFileSync(keptAt)).toEqual(
        Buffer.from(litter.find((file) => file.path === path)?.bytes ?? []),
      );
      expect(statSync(keptAt).mode & 0o077).toBe(0);
    }
    expect(json.removed).toContain('System Volume Information/WPSettings.dat');
    // The record and `check` say the same; that a known card was checked is on record, too.
    expect((await b.run('check', b.card, '--for', 'rill-40', '--json')).json.verdict).toBe('ready');
    expect((await b.run('record', 'check', '--json')).json).toMatchObject({ verdict: 'intact', entries: 2 });
  });

  it('prints the same plan in a dry run, which writes nothing at all', async () => {
    const b = bench();
    const before = sha256(readFileSync(b.card));
    const mtime = statSync(b.card).mtimeMs;
    const dry = await b.run(
      'prepare',
      b.card,
      '--for',
      'rill-40',
      '--from',
      b.download('4.2.0'),
      '--dry-run',
      '--json',
      '--no-input',
    );
    expect(dry.exit).toBe(0);
    expect(dry.json).toMatchObject({
      verdict: 'not-ready',
      dryRun: true,
      kept: [],
      removed: [],
      written: null,
      entry: null,
    });
    expect(sha256(readFileSync(b.card))).toBe(before);
    expect(statSync(b.card).mtimeMs).toBe(mtime);
    // Manifests as last read, kept only to be quicker, and what was there.
    expect(readdirSync(b.workspace).sort()).toEqual(['catalogue.json', 'manifests']);
    const real = await b.run(...prepared(b));
    expect(real.exit).toBe(0);
    expect(real.json.plan).toEqual(dry.json.plan);
    expect(real.json.plan.map((step: { do: string }) => step.do)).toEqual([
      ...['keep', 'keep', 'keep'],
      ...['remove', 'remove', 'remove', 'remove'],
      'write',
    ]);
  });

  it('shows plan, kept files and verdict as text, the verdict last', async () => {
    const b = bench();
    const result = await b.run(...prepared(b).filter((one) => one !== '--json'));
    expect(result.exit).toBe(0);
    const lines = result.stdout.trimEnd().split('\n');
    expect(lines.at(-1)).toMatch(/^ready: every byte of the firmware file of rill-40@4\.2\.0 was read back/);
    expect(result.stdout).toMatch(/keep {8}DCIM\/IMG_0001\.JPG, 30,000 bytes/);
    expect(result.stdout).toMatch(/what I need\.txt -> .*what I need\.txt/);
  });

  it('is ready again without a write', async () => {
    const b = bench();
    await b.run(...prepared(b));
    const before = readFileSync(b.card);
    const again = await b.run(
      'prepare',
      b.card,
      '--for',
      'rill-40@4.2.0',
      '--json',
      '--no-input',
      '--as',
      'R. Quill',
    );
    expect(again.json).toMatchObject({
      verdict: 'ready',
      plan: [],
      kept: [],
      removed: [],
      written: null,
      readBack: { method: 'image', sha256: sha256(image) },
      entry: { seq: 2 },
    });
    expect(readFileSync(b.card).equals(before)).toBe(true);
  });
});

describe('where the firmware file comes from', () => {
  it('the verified download, verified again', async () => {
    const b = bench();
    expect((await b.run('verify', b.download('4.2.0'))).exit).toBe(0);
    const args = ['prepare', b.card, '--for', 'rill-40', '--json', '--as', 'Q', '--confirm', b.card];
    expect((await b.run(...args)).json).toMatchObject({ verdict: 'ready' });
    const other = bench();
    expect((await other.run('verify', other.download('4.2.0'))).exit).toBe(0);
    writeFileSync(other.download('4.2.0'), testImage(image.length, 9));
    const before = readFileSync(other.card);
    const changed = await other.run(
      'prepare',
      other.card,
      '--for',
      'rill-40',
      '--json',
      '--as',
      'Q',
      '--confirm',
      other.card,
    );
    expect(changed.exit).toBe(2);
    expect(changed.json.error).toMatchObject({ code: 'download-missing' });
    expect(readFileSync(other.card).equals(before)).toBe(true);
  });

  it('the card itself, where its bytes are right', async () => {
    const b = bench([...litter, { path: 'RILL40 (1).FWU', bytes: image }]);
    const args = ['prepare', b.card, '--for', 'rill-40', '--json', '--as', 'Q', '--confirm', b.card];
    const result = await b.run(...args);
    expect(result.json).toMatchObject({ verdict: 'ready', written: null });
    requireAlone(b);
    // Laid out anew, its bytes are brought into safety first.
    const fresh = await b.run(...args, '--fresh');
    expect(fresh.json).toMatchObject({ verdict: 'ready', kept: [{ path: imageName }] });
    expect(sha256(readFileSync(fresh.json.kept[0].keptAt))).toBe(sha256(image));
    requireAlone(b, { startSector: 8192 });
  });

  it('nowhere: exit 2 with what to do', async () => {
    const b = bench();
    const before = readFileSync(b.card);
    const result = await b.run(
      'prepare',
      b.card,
      '--for',
      'rill-40',
      '--json',
      '--as',
      'Q',
      '--confirm',
      b.card,
    );
    expect(result.exit).toBe(2);
    expect(result.json.error).toMatchObject({
      code: 'download-missing',
      next: expect.stringMatching(/--from FILE/),
    });
    expect(readFileSync(b.card).equals(before)).toBe(true);
  });

  it('a file that is not it: exit 3 before anything is written', async () => {
    const b = bench();
    const before = readFileSync(b.card);
    for (const bytes of [
      testImage(image.length, 9),
      image.subarray(0, 1000),
      text('<!doctype html><html></html>'),
    ]) {
      const wrong = join(b.folder, imageName);
      writeFileSync(wrong, bytes);
      const args = prepared(b).map((one) => (one === b.download('4.2.0') ? wrong : one));
      const result = await b.run(...args);
      expect(result.exit).toBe(3);
      expect(['digest-mismatch', 'truncated', 'web-page']).toContain(result.json.error.code);
      // It is refused on a ready card, too, and in a dry run.
      expect((await b.run(...args, '--dry-run')).exit).toBe(3);
    }
    expect(readFileSync(b.card).equals(before)).toBe(true);
    expect(existsSync(join(b.workspace, 'kept'))).toBe(false);
  });
});

describe('refusals', () => {
  const refused = async (b: Bench, ...more: string[]) => {
    const before = readFileSync(b.card);
    const result = await b.run(...prepared(b, ...more));
    expect(readFileSync(b.card).equals(before)).toBe(true);
    return result;
  };

  it('a damaged card is not repaired: exit 3, --fresh offered', async () => {
    const b = bench();
    const bytes = readFileSync(b.card);
    bytes.writeUInt8(0x5a, (2048 + 1) * 512 + 40);
    writeFileSync(b.card, bytes);
    const result = await refused(b);
    expect(result.exit).toBe(3);
    expect(result.json).toMatchObject({
      verdict: 'not-ready',
      plan: [],
      kept: [],
      removed: [],
      written: null,
      entry: null,
    });
    expect(result.json.findings.map((one: { code: string }) => one.code)).toContain('fat-copies-differ');
    const asText = await b.run(...prepared(b).filter((one) => one !== '--json'));
    expect(asText.stdout.trimEnd().split('\n').at(-1)).toMatch(
      /^not ready: the card was not changed\. Add --fresh/,
    );
    const fresh = await b.run(...prepared(b, '--fresh'));
    expect(fresh.json).toMatchObject({ verdict: 'ready' });
    expect(fresh.json.kept.map((one: { path: string }) => one.path)).toContain('what I need.txt');
    requireAlone(b, { startSector: 8192 });
  });

  it('a withdrawn release: exit 3', async () => {
    const b = bench();
    const manifest = join(b.workspace, 'manifests', '4.2.0.yaml');
    writeFileSync(
      manifest,
      `${readFileSync(manifest, 'utf8')}\nwithdrawn: { on: 2026-11-02, why: Drives do not restart }\n`,
    );
    for (const more of [[], ['--fresh']]) {
      const result = await refused(b, '--for', 'rill-40@4.2.0', ...more);
      expect(result.exit).toBe(3);
      expect(result.json.findings.map((one: { code: string }) => one.code)).toContain('withdrawn');
    }
    const path = join(b.folder, 'new.img');
    const made = await b.run(
      'prepare',
      path,
      '--for',
      'rill-40@4.2.0',
      '--fresh',
      '--size',
      '16MiB',
      '--json',
      '--as',
      'Q',
    );
    expect(made.exit).toBe(3);
    expect(made.json.findings).toMatchObject([{ code: 'withdrawn' }]);
    expect(existsSync(path)).toBe(false);
  });

  it('a card that the rule does not take', async () => {
    const rule = '{ fileSystems: [fat32], partitionTables: [mbr], capacity: { min: 1GB, max: 4GB } }';
    const b = bench(litter, rule);
    for (const more of [[], ['--fresh']]) {
      const result = await refused(b, ...more);
      expect(result.exit).toBe(3);
      const codes = result.json.findings.map((one: { code: string }) => one.code);
      expect(codes).toContain('capacity-too-small');
      // The file system is wrong as well, and --fresh would mend that; the card would still be too small.
      if (more.length === 0) expect(codes.at(-1)).toBe('file-system-not-allowed');
      const asText = await b.run(...prepared(b, ...more).filter((one) => one !== '--json'));
      expect(asText.stdout.trimEnd().split('\n').at(-1)).toBe(
        'not ready: the card was not changed. Take another card.',
      );
    }
    const checked = await b.run('check', b.card, '--for', 'rill-40');
    expect(checked.stdout.trimEnd().split('\n').at(-1)).toBe(
      'unfit: not for rill-40@4.2.0 as it is. Take another card.',
    );
  });

  it('a rule that this version cannot lay out: exit 2', async () => {
    const b = bench(
      litter,
      '{ fileSystems: [exfat], partitionTables: [mbr], capacity: { min: 1MB, max: 4GB } }',
    );
    expect((await refused(b)).exit).toBe(3);
    const fresh = await refused(b, '--fresh');
    expect(fresh.exit).toBe(2);
    expect(fresh.json.error.code).toBe('no-layout-fits');
  });

  it('a write-protected card: exit 6, a dry run too', async () => {
    const b = bench();
    chmodSync(b.card, 0o444);
    for (const more of [[], ['--dry-run'], ['--fresh']]) {
      const result = await refused(b, ...more);
      expect(result.exit).toBe(6);
      expect(result.json.error.code).toBe('write-protected');
    }
  });

  it('another card confirmed than named: exit 5', async () => {
    const b = bench();
    const result = await refused(b, '--confirm', `${b.card}x`);
    expect(result.exit).toBe(5);
    expect(result.json.error.code).toBe('other-card-confirmed');
  });

  it('missing answers name their option', async () => {
    const b = bench();
    const without = (flag: string) => {
      const args = prepared(b);
      args.splice(args.indexOf(flag), 2);
      return args;
    };
    const before = readFileSync(b.card);
    for (const [args, option] of [
      [without('--confirm'), `--confirm ${b.card}`],
      [without('--as'), '--as NAME'],
      [without('--for'), '--for RELEASE'],
      [['prepare', '--for', 'rill-40', '--json'], 'CARD'],
    ] as const) {
      const result = await b.run(...args);
      expect(result.exit).toBe(2);
      expect(result.json.error).toMatchObject({ code: 'answer-missing', expected: option });
    }
    expect(readFileSync(b.card).equals(before)).toBe(true);
    expect(existsSync(join(b.workspace, 'record.db'))).toBe(false);
  });

  it('unknown names, cards that are none', async () => {
    const b = bench();
    const cases = [
      [['prepare', b.card, '--for', 'rill-41'], 2],
      [['prepare', b.card, '--for', 'rill-40@9.9'], 2],
      [['prepare', b.card, '--for', 'TRA00000001'], 2],
      [['prepare', join(b.folder, 'absent.img'), '--for', 'rill-40'], 2],
      [['prepare', b.folder, '--for', 'rill-40'], 2],
      [['prepare', b.download('4.2.0'), '--for', 'rill-40'], 2],
    ] as const;
    for (const [args, exit] of cases)
      expect((await b.run(...args, '--no-input')).exit, args.join(' ')).toBe(exit);
  });

  it('a release that its own failures have halted: exit 5, unless a reason is given', async () => {
    const b = bench();
    const table = join(b.folder, 'units.csv');
    writeFileSync(
      table,
      'serial,site,product,hardware,version\nTRA00000001,Alder,rill-40,A,4.1.0\nTRA00000002,Alder,rill-40,A,4.1.0\n',
    );
    expect((await b.run('units', 'import', table, '--as', 'Q')).exit).toBe(0);
    for (const serial of ['TRA00000001', 'TRA00000002']) {
      const logged = await b.run(
        'log',
        serial,
        'failed',
        '--release',
        'rill-40@4.2.0',
        '--cause',
        'release',
        '--left',
        'off',
        '--as',
        'Q',
      );
      expect(logged.exit, logged.stderr).toBe(0);
    }
    const result = await refused(b);
    expect(result.exit).toBe(5);
    expect(result.json.error).toMatchObject({ code: 'release-halted', seen: '2 of 2 failed' });
    const printed = await b.run('sheet', 'rill-40@4.2.0', '--json');
    expect(printed.exit).toBe(5);
    expect(printed.json.error).toMatchObject({ code: 'release-halted' });
    const gone = await b.run(...prepared(b, '--despite-halt', 'the maker asks for one more try'));
    expect(gone.json).toMatchObject({ verdict: 'ready' });
  });

  it('takes the next release on the path of a unit', async () => {
    const b = bench();
    const table = join(b.folder, 'units.csv');
    writeFileSync(table, 'serial,site,product,hardware,version\nTRA00000001,Alder,rill-40,A,4.1.0\n');
    await b.run('units', 'import', table, '--as', 'Q');
    const result = await b.run(...prepared(b, '--for', 'TRA00000001'));
    expect(result.json).toMatchObject({ verdict: 'ready', release: 'rill-40@4.2.0' });
  });
});

describe('a new card image file', () => {
  const make = (b: Bench, path: string, ...more: string[]) =>
    b.run(
      'prepare',
      path,
      '--for',
      'rill-40',
      '--from',
      b.download('4.2.0'),
      '--fresh',
      '--json',
      '--no-input',
      ...more,
    );

  it('is made without a question, sparse, and equal to the byte each time', async () => {
    const b = bench();
    const [one, two] = [join(b.folder, 'one.img'), join(b.folder, 'two.img')];
    const dry = await make(b, one, '--size', '64MiB', '--dry-run');
    expect(dry.exit).toBe(0);
    expect(existsSync(one)).toBe(false);
    const result = await make(b, one, '--size', '64MiB', '--as', 'Q');
    expect(result.json).toMatchObject({ verdict: 'ready', plan: dry.json.plan, kept: [], removed: [] });
    expect(statSync(one).size).toBe(64 * MiB);
    expect(statSync(one).blocks * 512).toBeLessThan(8 * MiB);
    expect((await make(b, two, '--size', '64MiB', '--as', 'Q')).exit).toBe(0);
    expect(readFileSync(one).equals(readFileSync(two))).toBe(true);
    requireAlone({ ...b, card: one }, { startSector: 8192, bits: 32 });
  });

  it('equals an old card of the same size that is laid out anew, wherever something is written', async () => {
    const b = bench(litter, anyCard, { sizeBytes: 64 * MiB, bits: 32 });
    const one = join(b.folder, 'one.img');
    await make(b, one, '--size', '64MiB', '--as', 'Q');
    expect((await b.run(...prepared(b, '--fresh'))).json).toMatchObject({ verdict: 'ready' });
    const [fresh, old] = [readFileSync(one), readFileSync(b.card)];
    expect(fresh.subarray(0, MiB).equals(old.subarray(0, MiB))).toBe(true);
    expect(fresh.subarray(4 * MiB, 5 * MiB).equals(old.subarray(4 * MiB, 5 * MiB))).toBe(true);
    expect(fresh.subarray(63 * MiB).equals(old.subarray(63 * MiB))).toBe(true);
  });

  it('is refused in clear words where it makes no sense', async () => {
    const b = bench();
    const path = join(b.folder, 'new.img');
    for (const [args, exit, code] of [
      [[b.card, '--size', '16MiB'], 5, 'card-exists'],
      [[path], 2, 'card-absent'],
      [[path, '--size', 'large'], 2, 'bad-size'],
      [[path, '--size', '0'], 2, 'bad-size'],
      [[join(b.folder, 'new.bin'), '--size', '16MiB'], 2, 'not-a-card-image'],
      [[join(b.folder, 'absent', 'new.img'), '--size', '16MiB', '--as', 'Q'], 2, 'file-absent'],
    ] as const) {
      const result = await make(b, ...(args as unknown as [string]));
      expect([result.exit, result.json.error?.code], args.join(' ')).toEqual([exit, code]);
    }
    expect((await make(b, path, '--size', '1000', '--as', 'Q')).exit).toBe(3);
    const plain = await b.run('prepare', path, '--for', 'rill-40', '--size', '16MiB', '--json');
    expect(plain.json.error.code).toBe('size-without-fresh');
    expect(existsSync(path)).toBe(false);
  });
});

describe('what cards may be called', () => {
  it('keeps hostile names inside the workspace and never replaces', async () => {
    const hostile = [
      { path: 'con.txt', bytes: text('one') },
      { path: 'a/..b/c.txt', bytes: text('two') },
      { path: `${'long '.repeat(40)}.txt`, bytes: text('three') },
    ];
    const b = bench(hostile);
    const result = await b.run(...prepared(b));
    expect(result.json).toMatchObject({ verdict: 'ready' });
    const places = result.json.kept.map((one: { keptAt: string }) => one.keptAt);
    expect(new Set(places).size).toBe(hostile.length);
    for (const place of places) expect(place.startsWith(join(b.workspace, 'kept'))).toBe(true);
    expect(places.map((place: string) => readFileSync(place, 'utf8')).sort()).toEqual([
      'one',
      'three',
      'two',
    ]);
  });
});
