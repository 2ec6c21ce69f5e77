// The register by its commands. What is written is read back with the stock sqlite3 program.
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { recordRows } from '../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { type CliResult, runCli } from '../support/run-cli.ts';

let workspace: RegisterWorkspace;
beforeEach(() => {
  workspace = registerWorkspace();
});
afterEach(() => workspace.remove());

const cli = (...args: string[]): Promise<CliResult> =>
  runCli([...args, '--json'], { workspace: workspace.path });
const rows = () => recordRows(workspace.record);
const [one, two, three] = [pumpSerial(1), pumpSerial(2), pumpSerial(3)];
const header = 'serial,site,product,hardware,version';
const table = (...lines: string[]) => workspace.file('fleet.csv', [header, ...lines, ''].join('\n'));

describe('units export', () => {
  test('what it writes is taken back without a change: versions read and reported, odd texts, formulas', async () => {
    const csv = workspace.file(
      'fleet.csv',
      `${header},versionReadOn,role,notes\n${one},Alder Farm,rill-40,B,4.0.0,2026-01-05,=1+1,"two, and ""quotes"""\n${two},"Größe; Hof",rill-40,B,4.0.0,,-5,@x\n${three},Birch,rill-40,B,,,'quoted,'=odd\n`,
    );
    expect((await cli('units', 'import', csv)).json).toMatchObject({ added: 3, refused: [] });
    await cli('log', one, 'already-current', '--version-read', '4.2.0', '--as', 'R. Quill');
    const out = workspace.file('unused', '').replace(/unused$/, 'export.csv');
    expect(await cli('units', 'export', out)).toMatchObject({ exit: 0, json: { path: out, units: 3 } });
    const written = readFileSync(out, 'utf8');
    expect(written.startsWith('\ufeffserial,site,product,hardware,version,versionReadOn')).toBe(true);
    // No cell begins as a formula does, in quotes or not.
    expect(written).not.toMatch(/(?:^|[,\n])"?[=+@-]/);
    const entries = rows().length;
    const again = await cli('units', 'import', out);
    expect(again.json).toMatchObject({ added: 0, changed: 0, unchanged: 3, refused: [], entries: 0 });
    expect(rows()).toHaveLength(entries);
    expect((await cli('units', 'export', out)).json.error.code).toBe('file-exists');
    const printed = await runCli(['units', 'export'], { workspace: workspace.path });
    expect(printed.stdout.replaceAll('\r', '').trim()).toBe(written.slice(1).replaceAll('\r', '').trim());
  });
});

describe('units import', () => {
  test('adds what is new, changes what changed, and makes no entry of an unchanged row', async () => {
    const csv = table(
      `${one},Alder Farm,rill-40,B,4.0.0`,
      `${two},Birch,rill-40,,`,
      '123456,Birch,lume-2,2,7',
    );
    const first = await cli('units', 'import', csv);
    expect(first).toMatchObject({
      exit: 0,
      json: { command: 'units import', added: 3, changed: 0, unchanged: 0, refused: [] },
    });
    expect(rows().map(({ kind }) => kind)).toEqual([
      'unit-added',
      'version-seen',
      'unit-added',
      'unit-added',
      'version-seen',
    ]);
    const again = await cli('units', 'import', csv);
    expect(again).toMatchObject({ exit: 0, json: { added: 0, changed: 0, unchanged: 3, entries: 0 } });
    expect(rows()).toHaveLength(5);
    const moved = table(
      `${one},Cedar,rill-40,B,4.0.0`,
      `${two},Birch,rill-40,B,3.8.0`,
      '123456,Birch,lume-2,2,',
    );
    expect(await cli('units', 'import', moved)).toMatchObject({
      exit: 0,
      json: { changed: 2, unchanged: 1 },
    });
    expect(
      rows()
        .slice(5)
        .map(({ kind, body }) => [kind, body]),
    ).toEqual([
      ['unit-changed', { serial: one, site: 'Cedar' }],
      ['version-seen', { serial: two, version: '3.8.0', evidence: 'reported', dated: false }],
    ]);
  });

  test('further columns are kept, a version is claimed at its own date, else at 00:00 of today', async () => {
    const csv = workspace.file(
      'fleet.csv',
      `\ufeffnotes;versionReadOn;version;serial;site;product;hardware;role;address;contact;access;colour\r\n` +
        `"behind; the barn";2026-01-05;4.0.0;${one};Alder Farm;rill-40;B;well pump;Mill Lane 3;Mx Reed;gate code;red\r\n` +
        `;;3.8.0;${two};Alder Farm;rill-40;B;;;;;\r\n`,
    );
    const { exit, json } = await cli('units', 'import', csv, '--as', 'R. Quill');
    expect([exit, json.ignoredColumns]).toEqual([0, ['colour']]);
    const [unit, dated, , undated] = rows();
    expect(unit!.body.details).toEqual({
      role: 'well pump',
      address: 'Mill Lane 3',
      contact: 'Mx Reed',
      access: 'gate code',
      notes: 'behind; the barn',
    });
    expect(unit!.typedBy).toBe('R. Quill');
    expect(dated!.claimedAt).toMatch(/^2026-01-05T00:00:00\.000/);
    expect(dated!.body).toMatchObject({ version: '4.0.0', dated: true });
    expect(undated!.claimedAt.slice(11, 23)).toBe('00:00:00.000');
    expect(undated!.claimedAt.slice(0, 10)).toBe(undated!.writtenAt.slice(0, 10));
  });

  test('refuses lines, each with its number, code and reason, and takes the others', async () => {
    const csv = table(
      `${one},Alder Farm,rill-40,B,4.0.0`,
      `${one.slice(0, -1)}${(Number(one.at(-1)) + 1) % 10},Alder Farm,rill-40,B,`,
      `${two},Alder Farm,rill-40,C,`,
      `${one},Birch,rill-40,B,`,
      `${three},,rill-40,B,`,
      `${three},Birch,rill-41,B,`,
      `${three},Birch,rill-40,B,four`,
      '123456,Birch,,,',
      `${three},Birch,rill-40,B`,
      `${three},Birch,rill-40,B,`,
    );
    const { exit, json } = await cli('units', 'import', csv);
    expect(exit).toBe(4);
    expect(json).toMatchObject({ added: 2 });
    expect(json.refused.map(({ line, code }: { line: number; code: string }) => [line, code])).toEqual([
      [3, 'serial-check'],
      [4, 'hardware-conflict'],
      [5, 'serial-twice'],
      [6, 'site-missing'],
      [7, 'product-unknown'],
      [8, 'version-form'],
      [9, 'hardware-missing'],
      [10, 'row-length'],
    ]);
    for (const { summary } of json.refused) expect(summary.length).toBeGreaterThan(10);
    expect(rows().map(({ body }) => body.serial)).toEqual([one, one, three]);
  });

  test('nothing taken at all: exit 3, nothing written, not even a record', async () => {
    const { exit, json } = await cli('units', 'import', table('x,Alder Farm,rill-40,B,'));
    expect([exit, json.refused.length, json.added]).toEqual([3, 1, 0]);
    expect(existsSync(workspace.record)).toBe(false);
  });

  test('--dry-run tells the same and writes nothing', async () => {
    const csv = table(`${one},Alder Farm,rill-40,B,4.0.0`, 'x,Birch,rill-40,B,');
    const dry = await cli('units', 'import', csv, '--dry-run');
    expect(existsSync(workspace.record)).toBe(false);
    const wet = await cli('units', 'import', csv);
    expect(dry).toMatchObject({ exit: 4, json: { dryRun: true } });
    const { changes, ...same } = dry.json;
    expect({ ...same, dryRun: false }).toEqual(wet.json);
    expect(changes).toEqual([
      {
        line: 2,
        serial: one,
        kind: 'added',
        fields: {
          product: { from: null, to: 'rill-40' },
          hardware: { from: null, to: 'B' },
          site: { from: null, to: 'Alder Farm' },
          version: { from: null, to: '4.0.0' },
        },
      },
    ]);
    const moved = await cli('units', 'import', table(`${one},Cedar,rill-40,B,4.0.0`), '--dry-run');
    expect(moved.json.changes).toEqual([
      { line: 2, serial: one, kind: 'changed', fields: { site: { from: 'Alder Farm', to: 'Cedar' } } },
    ]);
  });

  test('--strict: one line that is refused stops them all', async () => {
    const csv = table(`${one},Alder Farm,rill-40,B,4.0.0`, 'x,Birch,rill-40,B,');
    const result = await cli('units', 'import', csv, '--strict');
    expect(result).toMatchObject({ exit: 3, json: { added: 0, entries: 0, refused: [{ line: 3 }] } });
    expect(existsSync(workspace.record)).toBe(false);
    expect(await cli('units', 'import', table(`${one},Alder Farm,rill-40,B,`), '--strict')).toMatchObject({
      exit: 0,
      json: { added: 1 },
    });
  });

  test('--dates: a date counts by its declared form alone', async () => {
    const csv = workspace.file(
      'fleet.csv',
      `${header},versionReadOn\n${one},Birch,rill-40,B,4.0.0,03.04.2026\n${two},Birch,rill-40,B,4.0.0,31.4.2026\n${three},Birch,rill-40,B,4.0.0,2026-04-05\n`,
    );
    const guessed = await cli('units', 'import', csv, '--dry-run');
    expect(
      guessed.json.refused.map(({ line, code }: { line: number; code: string }) => [line, code]),
    ).toEqual([
      [2, 'date-form'],
      [3, 'date-form'],
    ]);
    for (const { summary } of guessed.json.refused) expect(summary).toContain('--dates DD.MM.YYYY');
    const declared = await cli('units', 'import', csv, '--dates', 'D.M.YYYY');
    expect(declared.json.refused[0].summary).not.toContain('--dates');
    expect(declared.json.refused).toMatchObject([{ line: 3, code: 'date-form' }]);
    const known = (await cli('units', 'list')).json.units.map((unit: { versionAt: string }) => unit);
    expect(JSON.stringify(known)).toContain('2026-04-03');
    expect(JSON.stringify(known)).toContain('2026-04-05');
    expect(await cli('units', 'import', csv, '--dates', 'DD.DD.YYYY')).toMatchObject({
      exit: 2,
      json: { error: { code: 'date-form', where: '--dates' } },
    });
  });

  test('--map names columns, before or after the table', async () => {
    const csv = workspace.file(
      'fleet.csv',
      `Serial no.,Place,product,hardware,version\n${one},Alder Farm,rill-40,B,\n`,
    );
    const wrong = await cli('units', 'import', csv);
    expect(wrong).toMatchObject({ exit: 2, json: { error: { code: 'column-missing' } } });
    const after = await cli('units', 'import', csv, '--map', 'serial=Serial no.', 'site=Place');
    expect(after).toMatchObject({ exit: 0, json: { added: 1 } });
    const before = await cli('units', 'import', '--map', 'serial=Serial no.', '--map', 'site=Place', csv);
    expect(before).toMatchObject({ exit: 0, json: { unchanged: 1 } });
    expect(await cli('units', 'import', csv, '--map', 'colour=Place')).toMatchObject({
      exit: 2,
      json: { error: { code: 'map-form' } },
    });
    expect(await cli('units', 'import', csv, '--map', 'site=')).toMatchObject({ exit: 2 });
  });

  test.each([
    ['an empty file', '', 'table-empty'],
    ['no UTF-8', new Uint8Array([0x73, 0xe9]), 'table-encoding'],
    ['a missing column', 'serial,site\n', 'column-missing'],
    ['an open quote', `${header}\n"x\n`, 'table-quote'],
  ])('bad tables: %s', async (_name, content, code) => {
    const result = await cli('units', 'import', workspace.file('bad.csv', content));
    expect(result).toMatchObject({ exit: 2, json: { command: 'units import', error: { code } } });
    expect(existsSync(workspace.record)).toBe(false);
  });

  test('bad tables: absent, a folder, none named', async () => {
    mkdirSync(join(workspace.path, 'folder'));
    for (const args of [[join(workspace.path, 'absent.csv')], [join(workspace.path, 'folder')], []]) {
      const { exit, json } = await cli('units', 'import', ...args);
      expect([exit, typeof json.error.next]).toEqual([2, 'string']);
    }
  });

  test('without a product manifest nothing can be judged', async () => {
    const csv = table(`${one},Alder Farm,rill-40,B,`);
    const other = join(workspace.path, 'other');
    const { exit, json } = await runCli(['units', 'import', csv, '--json'], { workspace: other });
    expect([exit, json.error.code]).toEqual([2, 'no-product-manifest']);
    expect(existsSync(other)).toBe(false);
  });

  test('a header alone adds nothing', async () => {
    expect(await cli('units', 'import', table())).toMatchObject({ exit: 0, json: { added: 0, refused: [] } });
  });

  test('for people: refused lines first, the counts last', async () => {
    const csv = table(`${one},Alder Farm,rill-40,B,`, '\u001b[31mred,Birch,rill-40,B,');
    const { stdout } = await runCli(['units', 'import', csv], { workspace: workspace.path });
    expect(stdout.trim().split('\n').at(-1)).toBe('1 added, 0 changed, 0 unchanged, 1 refused.');
    expect(stdout).toContain('Line 3 refused:');
    expect(stdout).not.toContain('\u001b');
  });

  test('thousands of units at once', async () => {
    const lines = Array.from({ length: 3000 }, (_, i) => `${pumpSerial(i)},Farm ${i % 90},rill-40,,4.0.0`);
    expect(await cli('units', 'import', table(...lines))).toMatchObject({ exit: 0, json: { added: 3000 } });
    expect(await cli('record', 'check')).toMatchObject({
      exit: 0,
      json: { verdict: 'intact', entries: 6000, units: 3000 },
    });
    expect((await cli('units', 'list', '--site', 'Farm 7')).json.units).toHaveLength(34);
  });
});

describe('units add', () => {
  test('registers, tells the status, and changes what is said again', async () => {
    const added = await cli(
      'units',
      'add',
      one.toLowerCase(),
      '--site',
      'Alder Farm',
      '--version',
      '4.0.0',
      '--role',
      'well pump',
    );
    expect(added).toMatchObject({
      exit: 0,
      json: {
        added: 1,
        unit: {
          serial: one,
          hardware: 'B',
          version: '4.0.0',
          evidence: 'reported',
          status: 'overdue',
          path: ['4.2.0'],
          details: { role: 'well pump' },
        },
      },
    });
    expect(await cli('units', 'add', one)).toMatchObject({
      exit: 0,
      json: { added: 0, changed: 0, entry: null },
    });
    const moved = await cli(
      'units',
      'add',
      one,
      '--site',
      'Birch',
      '--version-read-on',
      '2026-01-05',
      '--version',
      '4.0.0',
    );
    expect(moved).toMatchObject({ exit: 0, json: { changed: 1, unit: { site: 'Birch' } } });
    expect(rows().map(({ kind }) => kind)).toEqual([
      'unit-added',
      'version-seen',
      'unit-changed',
      'version-seen',
    ]);
  });

  test('asks for the site; without a terminal it names the option', async () => {
    const { exit, json } = await cli('units', 'add', one);
    expect([exit, json.error.code, json.error.next]).toMatchObject([
      2,
      'answer-missing',
      expect.stringContaining('--site'),
    ]);
  });

  test.each([
    ['TRB1', 'serial-form'],
    [pumpSerial(1).replace(/.$/, (digit) => String((Number(digit) + 3) % 10)), 'serial-check'],
    ['', 'serial-empty'],
  ])('refuses %s', async (serial, code) => {
    expect(await cli('units', 'add', serial, '--site', 'x')).toMatchObject({
      exit: 2,
      json: { error: { code } },
    });
    expect(existsSync(workspace.record)).toBe(false);
  });
});

describe('units list, show, retire, exempt', () => {
  beforeEach(async () => {
    await cli(
      'units',
      'import',
      table(`${one},Alder Farm,rill-40,B,4.0.0`, `${two},Birch,rill-40,B,`, '123456,Birch,lume-2,2,7'),
    );
  });
  const serials = (result: CliResult) => result.json.units.map(({ serial }: { serial: string }) => serial);

  test('the list, filtered, with each status', async () => {
    const all = await cli('units', 'list');
    expect(all.json.units.map(({ serial, status, target }: any) => [serial, status, target])).toEqual([
      ['123456', 'to-confirm', 'lume-2@7'],
      [one, 'overdue', 'rill-40@4.2.0'],
      [two, 'unknown', 'rill-40@4.2.0'],
    ]);
    expect(serials(await cli('units', 'list', '--site', 'Birch', '--product', 'rill-40'))).toEqual([two]);
    expect(serials(await cli('units', 'list', '--site', 'nowhere'))).toEqual([]);
    const text = (await runCli(['units', 'list'], { workspace: workspace.path })).stdout;
    expect(text).toMatch(/SERIAL +SITE +PRODUCT +REV +VERSION +STATUS/);
    expect(text.trim().split('\n').at(-1)).toBe('3 units.');
  });

  test('an empty register is no error', async () => {
    const { exit, json } = await runCli(['units', 'list', '--json'], {
      workspace: join(workspace.path, 'other'),
    });
    expect([exit, json.units]).toEqual([0, []]);
  });

  test('one unit with its history', async () => {
    await cli(
      'log',
      one,
      'failed',
      '--left',
      'locked-off',
      '--as',
      'R. Quill',
      '--by',
      'M. Tansy',
      '--note',
      'no light',
    );
    const { exit, json } = await cli('units', 'show', one);
    expect(exit).toBe(0);
    expect(json.unit).toMatchObject({
      serial: one,
      status: 'failed',
      left: 'locked-off',
      lastOutcome: { outcome: 'failed', by: 'M. Tansy' },
    });
    expect(json.entries.map(({ kind }: any) => kind)).toEqual(['version-seen', 'unit-added', 'outcome']);
    const text = (await runCli(['units', 'show', one], { workspace: workspace.path })).stdout;
    expect(text).toContain('M. Tansy (typed by R. Quill)');
    expect(text.trim().split('\n').at(-1)).toMatch(/^Status: failed/);
  });

  test('a serial that is not registered: near ones are offered', async () => {
    const swapped = one.replace(/18$/, '81');
    for (const command of [['show'], ['retire'], ['exempt', '--why', 'x']]) {
      const { exit, json } = await cli('units', command[0]!, swapped, ...command.slice(1));
      expect([exit, json.error.code, json.error.expected]).toEqual([2, 'unit-unknown', one]);
    }
    expect((await cli('units', 'show', 'nothing like it')).json.error).not.toHaveProperty('expected');
    expect(rows()).toHaveLength(5);
  });

  test('retired: no longer listed, no longer imported, not logged, and brought back by add', async () => {
    expect(await cli('units', 'retire', two, '--why', 'scrapped')).toMatchObject({
      exit: 0,
      json: { retired: true },
    });
    expect(await cli('units', 'retire', two)).toMatchObject({ exit: 0, json: { entry: null } });
    expect(serials(await cli('units', 'list'))).toEqual(['123456', one]);
    expect(serials(await cli('units', 'list', '--retired'))).toEqual(['123456', one, two]);
    expect(await cli('units', 'import', table(`${two},Birch,rill-40,B,`))).toMatchObject({
      exit: 3,
      json: { refused: [{ line: 2, code: 'unit-retired' }] },
    });
    expect(await cli('log', two, 'failed', '--as', 'x')).toMatchObject({
      exit: 2,
      json: { error: { code: 'unit-retired' } },
    });
    expect(await cli('units', 'add', two)).toMatchObject({
      exit: 0,
      json: { added: 1, unit: { retired: false, site: 'Birch' } },
    });
    expect(serials(await cli('units', 'list'))).toEqual(['123456', one, two]);
  });

  test('exempt until a day, ended again', async () => {
    const begun = await cli('units', 'exempt', one, '--why', 'sold in March', '--until', '2999-03-31');
    expect(begun).toMatchObject({
      exit: 0,
      json: { status: 'exempt', unit: { exempt: { why: 'sold in March', until: '2999-03-31' } } },
    });
    expect(await cli('units', 'exempt', one, '--end')).toMatchObject({
      exit: 0,
      json: { status: 'overdue', unit: { exempt: null } },
    });
    expect(
      rows()
        .slice(-2)
        .map(({ kind }) => kind),
    ).toEqual(['exemption-begun', 'exemption-ended']);
  });

  test.each([
    [['--end'], 'exemption-unclear'],
    [[], 'answer-missing'],
    [['--why', 'x', '--until', '2020-01-01'], 'exemption-unclear'],
    [['--why', 'x', '--until', 'March'], 'exemption-unclear'],
    [['--why', 'x', '--until', '2999-02-30'], 'exemption-unclear'],
    [['--end', '--until', '2999-01-01'], 'exemption-unclear'],
    [['--why', ' '], 'text-unfit'],
    [['--why', 'x'.repeat(501)], 'text-unfit'],
  ])('exempt %j is refused', async (args, code) => {
    expect(await cli('units', 'exempt', one, ...args)).toMatchObject({ exit: 2, json: { error: { code } } });
    expect(rows()).toHaveLength(5);
  });
});
