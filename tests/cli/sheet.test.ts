// `sheet` as a person calls it: the demo maker's products on a workspace of their own, and every refusal.

import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { parse, stringify } from 'yaml';
import { checkCharactersAgree } from '../../src/fleet/check-characters.ts';
import { runCli } from '../support/run-cli.ts';
import { testClock } from '../support/test-clock.ts';
import { pumpSteps, type Written, writtenProduct } from '../unit/procedure/written-product.ts';
import { complaints } from '../unit/sheet/sheet-judge.ts';

const shipped = fileURLToPath(new URL('../../manifests/tarnholt', import.meta.url));
let home: string;
let workspace: string;
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'sheet-cli-'));
});
afterAll(() => rmSync(home, { recursive: true, force: true }));

let count = 0;
beforeEach(() => {
  count += 1;
  workspace = join(home, `w${count}`);
  mkdirSync(join(workspace, 'manifests'), { recursive: true });
});

const manifest = (name: string, content: Written) =>
  writeFileSync(join(workspace, 'manifests', `${name}.yaml`), stringify(content));
const pump = (changes: Written = {}) =>
  manifest(
    'pump',
    writtenProduct({
      source: { document: 'Rill 40 service book', issue: 'C', page: '41' },
      writtenBy: 'service lead',
      checkedBy: 'second lead',
      hardware: ['A', 'B'],
      serial: { pattern: '^TR(?<hardware>[A-D])[0-9]{8}$', check: 'luhn' },
      procedure: pumpSteps(),
      ...changes,
    }),
  );
const release = (version: string, sequence: number, changes: Written = {}) =>
  manifest(`pump-${version}`, {
    manifest: 'release',
    format: 1,
    product: 'rill-40',
    version,
    sequence,
    issued: '2020-01-01',
    priority: 'required',
    hardware: ['A', 'B'],
    image: { name: 'RILL40.FWU', bytes: 1000, digests: { sha256: 'ab'.repeat(32) } },
    ...changes,
  });
const stones = () => {
  pump();
  release('3.8.0', 5, { from: { below: '3.8.0' } });
  release('4.2.0', 17, { from: { atLeast: '3.8.0', below: '4.2.0' }, resets: ['bus address'] });
};
const call = (...args: string[]) => runCli(args, { workspace });
/** Luhn: 1+2+3+4+5+6+7 with every second doubled from the right leaves 4. */
const unit = 'TRA12345674';
const add = async (serial: string, ...options: string[]) =>
  expect(
    (await call('units', 'add', serial, '--site', 'Low Meadow', '--as', 'Wren', ...options)).exit,
    serial,
  ).toBe(0);
const sheets = () =>
  existsSync(join(workspace, 'sheets')) ? readdirSync(join(workspace, 'sheets')).sort() : [];

describe('a sheet', () => {
  test('is printed, and kept under its number as paper and as facts', async () => {
    stones();
    await add(unit, '--version', '4.1.0', '--access', 'Key at the dairy');
    const result = await call(
      'sheet',
      'rill-40',
      '--unit',
      'tra12345674',
      '--day-ends',
      '16:30',
      '--as',
      'Wren',
    );
    expect(result.stderr).toBe('');
    expect(result.exit).toBe(0);
    const [facts, paper] = sheets();
    const number = paper?.replace('.txt', '') ?? '';
    expect(facts).toBe(`${number}.json`);
    expect(checkCharactersAgree('mod-37-2', number.replace('-', ''))).toBe(true);
    const text = readFileSync(join(workspace, 'sheets', `${number}.txt`), 'utf8');
    const product = parse(readFileSync(join(workspace, 'manifests', 'pump.yaml'), 'utf8')) as Written;
    expect(complaints(text, { product, resets: 1, version: '4.2.0', width: 78, pageLines: 58 })).toEqual([]);
    for (const words of [
      number,
      'by Wren',
      'Low Meadow',
      '4.1.0, only reported',
      'Key at the dairy',
      'BEGIN NO UNIT AFTER',
      'checked for gaps; not a safety approval',
      'mark ',
    ]) {
      expect(text).toContain(words);
      expect(result.stdout).toContain(words);
    }
    const lines = result.stdout.trimEnd().split('\n');
    expect(lines[0]).toMatch(new RegExp(`^SHEET {2}${number} `));
    expect(lines.at(-1)).toBe(
      `Sheet ${number} for rill-40@4.2.0, 1 unit: ${join(workspace, 'sheets', `${number}.txt`)}`,
    );
    expect(JSON.parse(readFileSync(join(workspace, 'sheets', `${number}.json`), 'utf8'))).toMatchObject({
      sheet: number,
      release: 'rill-40@4.2.0',
      units: [{ serial: unit, hardware: 'A' }],
      madeBy: 'Wren',
      dayEnds: '16:30',
      mark: { seq: 2 },
    });
  });

  test('as JSON: its path, absolute, and its number', async () => {
    stones();
    const { json, exit, stdout } = await call('sheet', 'rill-40@3.8.0', '--json');
    expect(exit).toBe(0);
    expect(stdout.trimEnd().split('\n')).toHaveLength(1);
    expect(json).toMatchObject({ command: 'sheet', release: 'rill-40@3.8.0', units: [], findings: [] });
    expect(json.path).toBe(join(workspace, 'sheets', `${json.sheet}.txt`));
    expect(readFileSync(json.path, 'utf8')).toContain('there is no record on this laptop yet');
  });

  test('two sheets have two numbers', async () => {
    stones();
    const numbers = [await call('sheet', 'rill-40', '--json'), await call('sheet', 'rill-40', '--json')].map(
      ({ json }) => json.sheet,
    );
    expect(new Set(numbers).size).toBe(2);
    expect(sheets()).toHaveLength(4);
  });

  test('--out writes it there too, and replaces nothing', async () => {
    stones();
    const out = join(home, `out-${count}.txt`);
    const result = await call('sheet', 'rill-40', '--out', out, '--json');
    expect(result.json.path).toBe(out);
    expect(readFileSync(out, 'utf8')).toBe(readFileSync(result.json.keptAt, 'utf8'));
    const again = await call('sheet', 'rill-40', '--out', out, '--json');
    expect(again).toMatchObject({ exit: 2, json: { error: { code: 'file-exists', where: out } } });
    expect((await call('sheet', 'rill-40', '--out', home, '--json')).json.error.code).toBe('folder-not-file');
    const nowhere = await call('sheet', 'rill-40', '--out', join(home, 'none', 'sheet.txt'), '--json');
    expect(nowhere).toMatchObject({
      exit: 2,
      json: { error: { summary: `The folder ${join(home, 'none')} does not exist.` } },
    });
    // No number is drawn for a sheet that nobody gets: see the count below.
    expect(sheets()).toHaveLength(2);
    const shown = await call('sheet', 'rill-40', '--out', join(home, `more-${count}.txt`));
    expect(shown.stdout).not.toContain('CAUTIONS');
    expect(shown.stdout.trimEnd().split('\n')).toHaveLength(1);
  });

  test('several units: rows in the order given, each once', async () => {
    stones();
    const second = 'TRB12345674';
    await add(unit, '--version', '4.1.0');
    await add(second, '--version', '4.0.0');
    const { json } = await call('sheet', 'rill-40', '--unit', second, unit, second, '--json');
    expect(json.units).toEqual([second, unit]);
    const facts = JSON.parse(readFileSync(json.path.replace(/txt$/, 'json'), 'utf8'));
    expect(facts.units.map(({ serial }: { serial: string }) => serial)).toEqual([second, unit]);
  });

  test('is readable by its user alone', async () => {
    stones();
    const { json } = await call('sheet', 'rill-40', '--json');
    expect(statSync(json.path).mode & 0o077).toBe(0);
  });

  test('says what is not known or not in order, and is made all the same', async () => {
    pump({ writtenBy: 'J. Marl', checkedBy: 'J. MARL' });
    release('4.2.0', 17);
    await add(unit);
    for (const name of readdirSync(join(workspace, 'manifests'))) {
      const tenDaysAgo = testClock.now() / 1000 - 10 * 86_400;
      utimesSync(join(workspace, 'manifests', name), tenDaysAgo, tenDaysAgo);
    }
    const { json, exit } = await call('sheet', 'rill-40', '--unit', unit, '--day-ends', '1:30', '--json');
    expect(exit).toBe(0);
    expect(
      json.findings.map(({ code, severity }: { code: string; severity: string }) => `${severity} ${code}`),
    ).toEqual([
      'warn version-not-known',
      'warn not-second-checked',
      'warn manifests-old',
      'warn day-too-short',
    ]);
    const text = readFileSync(json.path, 'utf8');
    for (const words of ['The same person wrote', 'That is old news', 'DO NOT BEGIN IT THEN'])
      expect(text).toContain(words);
    const shown = await call('sheet', 'rill-40', '--unit', unit);
    expect(shown.stdout.trimEnd().split('\n').at(-1)).toMatch(/^Sheet /);
    expect(shown.stdout).toContain('[version-not-known]');
  });
});

describe('refused', () => {
  const nothingMade = () => expect(sheets()).toEqual([]);

  test('a withdrawn release: exit 3, why, and what to do', async () => {
    stones();
    release('4.3.0', 18, {
      withdrawn: {
        on: '2020-02-01',
        why: 'Drives of revision B do not restart',
        doThis: 'Call the helpline',
      },
    });
    const result = await call('sheet', 'rill-40@4.3.0', '--json');
    expect(result).toMatchObject({
      exit: 3,
      json: {
        path: null,
        sheet: null,
        findings: [{ code: 'withdrawn', severity: 'stop', next: 'Call the helpline' }],
      },
    });
    expect(result.json.findings[0].seen).toContain('do not restart');
    nothingMade();
    const shown = await call('sheet', 'rill-40@4.3.0');
    expect(shown.stdout).not.toContain('CAUTIONS');
    expect(shown.stdout.trimEnd()).toMatch(/No sheet was made for rill-40@4\.3\.0\. Nothing was written\.$/);
    // PRODUCT alone never means the withdrawn one.
    expect((await call('sheet', 'rill-40', '--json')).json.release).toBe('rill-40@4.2.0');
  });

  test('a unit that needs a stepping stone first: exit 3, the stone named; one bad row refuses the sheet', async () => {
    stones();
    const second = 'TRB12345674';
    await add(unit, '--version', '3.0.0');
    await add(second, '--version', '4.0.0');
    const { exit, json } = await call('sheet', 'rill-40', '--unit', unit, second, '--json');
    expect(exit).toBe(3);
    expect(json.findings).toMatchObject([{ code: 'stepping-stone-first', where: unit }]);
    expect(json.findings[0].next).toContain('slotproof sheet rill-40@3.8.0 --unit TRA12345674');
    nothingMade();
    expect((await call('sheet', 'rill-40@3.8.0', '--unit', unit, '--json')).exit).toBe(0);
  });

  test('hardware that may not have it', async () => {
    pump();
    release('4.2.0', 17, { hardware: ['B'] });
    await add(unit, '--version', '4.0.0');
    expect(await call('sheet', 'rill-40', '--unit', unit, '--json')).toMatchObject({
      exit: 3,
      json: { findings: [{ code: 'hardware-not-allowed' }] },
    });
    nothingMade();
  });

  test('a serial that is not registered: exit 2, and what was probably meant', async () => {
    stones();
    await add(unit, '--version', '4.0.0');
    const result = await call('sheet', 'rill-40', '--unit', 'TRA12345647', '--json');
    expect(result).toMatchObject({ exit: 2, json: { error: { code: 'unit-unknown' } } });
    expect(result.json.error.next).toContain(unit);
    expect((await call('sheet', 'rill-40', '--unit', 'x\u001b[2J', '--json')).exit).toBe(2);
    nothingMade();
  });

  test('a retired unit, and one of another product', async () => {
    stones();
    manifest(
      'other',
      writtenProduct({ id: 'tarn-7', serial: { pattern: '^TT[0-9]{4}$' }, procedure: pumpSteps() }),
    );
    await add(unit, '--version', '4.0.0');
    await add('TT0001', '--hardware', 'A');
    expect((await call('sheet', 'rill-40', '--unit', 'TT0001', '--json')).json.error.code).toBe(
      'other-product',
    );
    expect((await call('units', 'retire', unit, '--as', 'Wren')).exit).toBe(0);
    const retired = await call('sheet', 'rill-40', '--unit', unit, '--json');
    expect(retired.exit).toBe(2);
    nothingMade();
  });

  test('a procedure with a gap is never printed', async () => {
    const steps = pumpSteps().map((step) =>
      step.id === 'take-out' ? { ...step, needs: { array: 'connected' } } : step,
    );
    pump({ procedure: steps });
    release('4.2.0', 17);
    const { exit, json } = await call('sheet', 'rill-40@4.2.0', '--json');
    expect([2, 3]).toContain(exit);
    expect(JSON.stringify(json)).toMatch(/manifest-unsound|needs-fails/);
    nothingMade();
  });

  test.each([
    ['no release', [], /RELEASE/],
    ['an unknown product', ['rill-41'], /rill-40/],
    ['an unknown release', ['rill-40@9.9.9'], /4\.2\.0/],
    ['no time of day', ['rill-40', '--day-ends', '25:00'], /16:30/],
    ['a form that nobody knows', ['rill-40', '--format', 'wall'], /text/],
  ])('%s: exit 2, with the way out', async (_, args, words) => {
    stones();
    const { exit, json } = await call('sheet', ...args, '--json');
    expect(exit).toBe(2);
    expect(JSON.stringify(json.error)).toMatch(words);
    nothingMade();
  });

  test('too many units for one sheet', async () => {
    stones();
    const many = Array.from({ length: 25 }, (_, i) => `TRA${i}`);
    expect((await call('sheet', 'rill-40', '--unit', ...many, '--json')).json.error.code).toBe(
      'too-many-units',
    );
  });

  test('without manifests at all: what to do, and no workspace is made for it', async () => {
    const empty = join(home, 'none');
    const { exit, json } = await runCli(['sheet', '--json'], { workspace: empty });
    expect(exit).toBe(2);
    expect(json.error.code).toBe('no-release');
    expect(existsSync(empty)).toBe(false);
  });
});

test('every release of the demo maker: a sheet, or a refusal where it is withdrawn', async () => {
  const names = readdirSync(shipped).filter((name) => name.endsWith('.yaml'));
  for (const name of names) copyFileSync(join(shipped, name), join(workspace, 'manifests', name));
  const all = names.map((name) => parse(readFileSync(join(shipped, name), 'utf8')) as Written);
  const products = new Map(
    all.filter((one) => one.manifest === 'product').map((one) => [String(one.id), one]),
  );
  const releases = names.filter((name) =>
    /^manifest: release$/m.test(readFileSync(join(shipped, name), 'utf8')),
  );
  expect(releases.length).toBeGreaterThanOrEqual(9);
  let withdrawn = 0;
  for (const name of releases) {
    const written = readFileSync(join(shipped, name), 'utf8');
    const release = parse(written) as Written;
    const version = /^version: *["']?([^"'\s]+)/m.exec(written)?.[1] ?? '';
    const { exit, json } = await call('sheet', `${release.product}@${version}`, '--json');
    if (release.withdrawn !== undefined) {
      expect(exit, name).toBe(3);
      withdrawn += 1;
      continue;
    }
    expect(exit, `${name} ${JSON.stringify(json)}`).toBe(0);
    const text = readFileSync(json.path, 'utf8');
    const product = products.get(String(release.product)) as Written;
    const resets = (release.resets as unknown[] | undefined)?.length ?? 0;
    expect(complaints(text, { product, resets, version, width: 78, pageLines: 58 }), name).toEqual([]);
  }
  expect(withdrawn).toBeGreaterThan(0);
});
