// `audit` from the command line, on a real workspace: the JSON contract, exits, dates, visits and files.

import { existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';

const [deferred, current, reported, unknown, lights, failed, oldHardware] = [1, 2, 3, 4, 5, 6, 7].map(
  (number) => pumpSerial(number, number === 7 ? 'A' : 'B'),
) as [string, string, string, string, string, string, string];

const fleet = `serial,site,product,hardware,version,versionReadOn
${deferred},Alder Farm,rill-40,,3.8.0,2026-02-01
${current},Alder Farm,rill-40,,4.0.0,2026-02-01
${reported},Beck Mill,rill-40,,4.2.0,2026-02-01
${unknown},Beck Mill,rill-40,,,
${lights},Cold Ash,rill-40,,4.0.0,2026-02-01
${failed},Cold Ash,rill-40,,4.0.0,2026-02-01
${oldHardware},=Cold Ash,rill-40,,1.0,2026-02-01
123456,Beck Mill,lume-2,1,5,2026-02-01
`;

let ws: RegisterWorkspace;
const run = (...args: string[]) => runCli([...args, '--as', 'R. Quill'], { workspace: ws.path });
const audit = async (...args: string[]) => await run('audit', '--json', ...args);

async function must(...args: string[]): Promise<void> {
  const result = await run(...args);
  if (result.exit !== 0) throw new Error(`${args.join(' ')}: ${result.stdout}${result.stderr}`);
}

beforeAll(async () => {
  ws = registerWorkspace();
  await must('units', 'import', ws.file('fleet.csv', fleet));
  await must('log', lights, 'updated', '--lights', 'taken', '--at', '2026-03-10T10:00');
  await must('log', current, 'updated', '--version-read', '4.2.0', '--at', '2026-03-11T23:59');
  const unit = ['--cause', 'unit', '--left', 'locked-off', '--card', 'K1'];
  await must('log', failed, 'failed', ...unit, '--at', '2026-03-12T10:00');
  await must('log', deferred, 'deferred', '--reason', 'no-access', '--at', '2026-03-12T11:00');
});
afterAll(() => ws.remove());

const statuses = (json: any) => Object.fromEntries(json.units.map((unit: any) => [unit.serial, unit.status]));

describe('audit', () => {
  it('gives every field of the contract, and every unit', async () => {
    const { exit, json } = await audit();
    expect(exit).toBe(0);
    expect(json).toMatchObject({
      command: 'audit',
      asOf: expect.stringMatching(/^\d{4}-\d{2}-\d{2}$/),
      knownAsOf: expect.stringMatching(/^\d{4}-\d{2}-\d{2}T/),
      counts: {
        current: 1,
        'to-confirm': 2,
        due: 2,
        overdue: 1,
        failed: 1,
        'no-path': 0,
        unknown: 1,
        exempt: 0,
      },
      forecast: null,
    });
    expect(statuses(json)).toEqual({
      [deferred]: 'overdue',
      [current]: 'current',
      [reported]: 'to-confirm',
      [unknown]: 'unknown',
      [lights]: 'to-confirm',
      [failed]: 'failed',
      [oldHardware]: 'due',
      '123456': 'due',
    });
    for (const unit of json.units)
      for (const field of 'serial site product hardware version evidence status late onWithdrawn left target path dueBy lastOutcome why'.split(
        ' ',
      ))
        expect(unit, field).toHaveProperty(field);
    expect(json.units.find(({ serial }: any) => serial === deferred)).toMatchObject({
      version: '3.8.0',
      evidence: 'reported',
      late: true,
      onWithdrawn: false,
      target: 'rill-40@4.2.0',
      path: ['4.0.0', '4.2.0'],
      dueBy: '2026-03-01',
    });
    expect(json.releases).toContainEqual(
      expect.objectContaining({ release: 'rill-40@4.2.0', tried: 3, failed: 1, rule: 'go-on' }),
    );
  });

  it('stands at the end of a day: what happened on it counts, what came after does not', async () => {
    const on = async (day: string) => (await audit('--as-of', day)).json;
    const before = await on('2026-03-10');
    expect(before.asOf).toBe('2026-03-10');
    expect(statuses(before)).toMatchObject({
      [lights]: 'to-confirm',
      [current]: 'overdue',
      [failed]: 'overdue',
    });
    expect(before.releases).toContainEqual(expect.objectContaining({ release: 'rill-40@4.2.0', tried: 1 }));
    expect(statuses(await on('2026-03-11'))).toMatchObject({ [current]: 'current', [failed]: 'overdue' });
    expect(statuses(await on('2026-03-12'))).toMatchObject({ [current]: 'current', [failed]: 'failed' });
    // The last day in time, and the first that is not; before the release was issued there is another target.
    expect(statuses(await on('2026-03-01'))).toMatchObject({ [deferred]: 'due' });
    expect(statuses(await on('2026-03-02'))).toMatchObject({ [deferred]: 'overdue' });
    const early = (await on('2026-01-02')).units.find(({ serial }: any) => serial === lights);
    expect(early).toMatchObject({ target: 'rill-40@4.0.0', version: null, status: 'unknown' });
  });

  it('knows no day that the calendar has not', async () => {
    const { exit, json } = await audit('--as-of', '2026-02-30');
    expect(exit).toBe(2);
    expect(json.error).toMatchObject({ code: 'date-form', where: '--as-of' });
  });

  it('is narrowed to a product or a site, in any capitals, and refuses one that nobody has', async () => {
    expect((await audit('--product', 'lume-2')).json.units).toHaveLength(1);
    expect(statuses((await audit('--site', 'beck mill')).json)).toMatchObject({ [reported]: 'to-confirm' });
    expect((await audit('--site', 'Bek Mill')).json.error).toMatchObject({ code: 'site-unknown' });
    const far = await audit('--site', 'Zzyzx');
    expect(far.json.error.next).toBe('slotproof sites list names the sites.');
    expect((await audit('--product', 'lume-3')).json.error).toMatchObject({ code: 'unknown-product' });
  });

  it('measures against another target, of that product alone', async () => {
    const { json } = await audit('--target', 'rill-40@4.0.0');
    expect(statuses(json)).toMatchObject({ [failed]: 'failed', [current]: 'current', '123456': 'due' });
    expect(json.units.find(({ serial }: any) => serial === deferred)).toMatchObject({
      target: 'rill-40@4.0.0',
      path: ['4.0.0'],
      dueBy: null,
      status: 'due',
    });
    expect((await audit('--target', 'rill-40@4.0.0', '--product', 'lume-2')).exit).toBe(2);
    expect((await audit('--target', 'rill-40@9.9')).json.error).toMatchObject({ code: 'unknown-release' });
  });

  it('exits 3 where units are outstanding', async () => {
    expect((await audit('--fail-if', 'due')).exit).toBe(3);
    expect((await audit('--fail-if', 'overdue')).json.outstanding).toBe(5);
    expect((await audit('--fail-if', 'overdue', '--product', 'lume-2')).exit).toBe(0);
    expect((await audit('--fail-if', 'due', '--product', 'lume-2')).exit).toBe(3);
    expect((await audit('--fail-if', 'late')).exit).toBe(2);
  });

  it('tells what became of visits, and which lines it could not read', async () => {
    const file = ws.file(
      'visits.csv',
      `site,serial,date\nAlder Farm,,2026-03-11\nCold Ash,,2026-03-10\n,${unknown},2026-03-12\n,TRB9,2026-03-12\n`,
    );
    const { exit, json } = await audit('--visits', file);
    expect(exit).toBe(4);
    const serials = (result: string) => json.visits[result].map(({ serial }: any) => serial);
    expect(serials('leftOff')).toEqual([failed]);
    expect(serials('failed')).toEqual([]);
    expect(serials('notDone')).toEqual([deferred, lights]);
    expect(serials('noWord')).toEqual([unknown]);
    expect(serials('done')).toEqual([current]);
    expect(json.visits.cardsNotBack).toEqual([]);
    expect(json.refused).toMatchObject([{ line: 5, code: 'unit-unknown' }]);
    const { stdout } = await run('audit', '--visits', file);
    const order = ['Left off: 1', 'Failed: 0', 'Not done: 2', 'No word: 1', 'Cards not back: 0'];
    expect(order.map((text) => stdout.indexOf(text))).toEqual(
      order.map((text) => stdout.indexOf(text)).sort((a, b) => a - b),
    );
    expect(stdout.indexOf(order[0]!)).toBeGreaterThan(0);
  });

  it('refuses a list without a header, and one that is not there', async () => {
    const bare = await audit('--visits', ws.file('bare.csv', `${failed}\n`));
    expect(bare.json.error).toMatchObject({ code: 'column-missing' });
    expect((await audit('--visits', join(ws.path, 'none.csv'))).exit).toBe(2);
  });

  it('writes a table and a page, replaces them, and nothing else', async () => {
    const [csv, html] = [join(ws.path, 'audit.csv'), join(ws.path, 'audit.html')];
    for (let again = 0; again < 2; again++) {
      const { exit, json } = await audit('--csv', csv, '--html', html);
      expect([exit, json.csv, json.html]).toEqual([0, csv, html]);
    }
    expect(readFileSync(csv, 'utf8')).toContain(`,'=Cold Ash,`);
    expect(readFileSync(html, 'utf8')).toContain(failed);

    const mine = ws.file('mine.txt', 'my own notes');
    for (const option of ['--csv', '--html']) {
      const { exit, json } = await audit(option, mine);
      expect([exit, json.error.code]).toEqual([2, 'file-exists']);
      expect((await audit(option, ws.path)).exit).toBe(2);
    }
    expect(readFileSync(mine, 'utf8')).toBe('my own notes');
    expect((await audit('--csv', csv, '--html', csv)).exit).toBe(2);
    expect((await audit('--csv', join(ws.path, 'new.csv'), '--html', join(ws.path, 'new.csv'))).exit).toBe(2);
    expect(existsSync(join(ws.path, 'new.csv'))).toBe(false);
  });

  it('leaves a retired unit out', async () => {
    await must('units', 'retire', oldHardware, '--why', 'scrapped');
    const { json } = await audit();
    expect(statuses(json)).not.toHaveProperty(oldHardware);
    expect((await audit('--site', '=Cold Ash')).exit).toBe(2);
  });

  it('says that manifests are unsound or old', async () => {
    const bad = join(ws.path, 'manifests', 'bad.yaml');
    writeFileSync(bad, 'manifest: release\nproduct: rill-40\n');
    expect((await audit()).json.findings).toMatchObject([{ code: 'manifests-unsound', severity: 'warn' }]);
    rmSync(bad);
    expect((await audit()).json.findings).toEqual([]);
  });
});

describe('audit without units', () => {
  it('says so, and that is no failure', async () => {
    const empty = registerWorkspace();
    const { exit, json, stdout } = await runCli(['audit', '--fail-if', 'due', '--json'], {
      workspace: empty.path,
    });
    expect([exit, json.units, json.forecast, stdout.length > 0]).toEqual([0, [], null, true]);
    const text = await runCli(['audit'], { workspace: empty.path });
    expect(text.stdout).toContain('No unit is registered');
    expect(existsSync(empty.record)).toBe(false);
    empty.remove();
  });
});

describe('audit of a release that goes wrong', () => {
  it('says halt', async () => {
    const own = registerWorkspace();
    const serials = [1, 2, 3].map((number) => pumpSerial(number));
    const rows = serials.map((serial) => `${serial},Alder Farm,rill-40,,4.0.0`).join('\n');
    const here = (...args: string[]) => runCli([...args, '--as', 'R. Quill'], { workspace: own.path });
    await here('units', 'import', own.file('f.csv', `serial,site,product,hardware,version\n${rows}\n`));
    await here('log', serials[0]!, 'failed', '--left', 'running');
    await here('log', serials[1]!, 'updated', '--version-read', '4.2.0');
    await here('log', serials[2]!, 'failed', '--left', 'running');
    const { json } = await here('audit', '--json');
    expect(json.releases).toMatchObject([{ release: 'rill-40@4.2.0', tried: 3, failed: 2, rule: 'halt' }]);
    expect((await here('audit')).stdout).toContain('HALT rill-40@4.2.0');
    own.remove();
  });
});
