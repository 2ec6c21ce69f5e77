// `withdraw`: a release stopped on record is withdrawn for everybody who asks, as if its manifest said so; the cards that
// carry it and the units that have it are named; a correction takes it back; a packet carries it to another laptop.

import { mkdirSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { demoDownload } from '../../src/manifest/demo-firmware.ts';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { demoCatalogue } from '../support/demo-world.ts';
import { type CliResult, runCli } from '../support/run-cli.ts';

const key = 'hearth-90@2.6.0';
const serial = 'TB8120000834';
const other = 'TB8120000586';
const { folder, workspace } = makeDemoWorkspace();
afterAll(() => rmSync(folder, { recursive: true }));

const download = join(folder, 'hearth.zip');
const card = join(folder, 'card.img');
const signed = ['--as', 'R. Quill', '--json'] as const;
const run = (...args: string[]) => runCli(args, { workspace });
async function must(...args: string[]): Promise<CliResult> {
  const result = await run(...args, ...signed);
  expect(result.json.error).toBeUndefined();
  expect(result.exit).toBe(0);
  return result;
}
const codes = ({ json }: CliResult) => (json.findings ?? []).map(({ code }: { code: string }) => code);

/** What everybody says of the release now. */
async function asked() {
  const check = await run('check', card, '--for', key, '--json');
  const prepare = await run('prepare', card, '--for', key, '--from', download, '--confirm', card, ...signed);
  const sheet = await run('sheet', key, '--unit', serial, ...signed);
  const known = (await run('cards', '--known', '--json')).json.known[0];
  const audit = (await run('audit', '--json')).json.units.find(
    (unit: { serial: string }) => unit.serial === other,
  );
  return {
    verify: (await run('verify', download, '--json')).json.verdict,
    check: check.json.verdict,
    prepare: [prepare.exit, codes(prepare).includes('withdrawn')],
    sheet: sheet.exit,
    card: known.standing,
    unit: audit.onWithdrawn,
  };
}

const before = {
  verify: 'matches',
  check: 'ready',
  prepare: [0, false],
  sheet: 0,
  card: 'ready',
  unit: false,
};
const after = {
  verify: 'differs',
  check: 'unfit',
  prepare: [3, true],
  sheet: 3,
  card: 'withdrawn',
  unit: true,
};

beforeAll(async () => {
  const release = demoCatalogue().releases.find((one) => `${one.product}@${one.version}` === key)!;
  writeFileSync(download, demoDownload(release).bytes);
  await must('units', 'add', serial, '--hardware', 'B', '--site', 'Alder Farm', '--version', '2.5.3');
  await must('units', 'add', other, '--hardware', 'B', '--site', 'Alder Farm', '--version', '2.5.3');
  await must('prepare', card, '--for', key, '--from', download, '--fresh', '--size', '4GB');
  await must('log', other, 'updated', '--version-read', '2.6.0', '--release', key, '--card', 'card.img');
});

describe('a release that is stopped', () => {
  let entry = '';

  test('is withdrawn for everybody who asks; its cards and units are named', async () => {
    expect(await asked()).toEqual(before);
    await must('log', other, 'already-current', '--version-read', '2.6.0', '--card', 'card.img');
    const { json } = await must(
      'withdraw',
      key,
      '--why',
      'cabinets do not restart',
      '--do-this',
      'Call the helpline',
    );
    expect(json).toMatchObject({
      release: key,
      cards: [{ card, preparedBy: 'R. Quill', usedAt: other }],
      units: [{ serial: other, site: 'Alder Farm', version: '2.6.0', evidence: 'read' }],
    });
    entry = json.entry.id;
    // The demonstration's 2.5.3 was withdrawn by its maker before, and its units were sent to 2.6.0.
    expect(json.findings).toMatchObject([
      { code: 'advice-withdrawn', severity: 'warn', where: 'hearth-90@2.5.3' },
    ]);
    const sent = (await run('units', 'show', serial, '--json')).json.unit;
    expect(sent.version).toBe('2.5.3');
    expect(sent.why).toContain('But 2.6.0 is withdrawn as well: ask the service lead where to go.');
    expect(await asked()).toEqual(after);
    const check = await run('check', card, '--for', key, '--json');
    expect(check.json.findings.at(-1)).toMatchObject({ code: 'withdrawn', next: 'Call the helpline' });
  });

  test('on a card that another release is meant for: said to be the withdrawn one', async () => {
    const { exit, json } = await run('check', card, '--for', 'hearth-90', '--json');
    expect([exit, json.release]).toEqual([3, 'hearth-90@2.5.0']);
    const [found] = json.findings.filter(({ code }: { code: string }) => code === 'other-image');
    expect(found.summary).toContain('hearth-90 2.6.0, which is withdrawn');
    expect(found.seen).toMatch(/^hearth-90 2\.6\.0, withdrawn on .*: cabinets do not restart$/);
    expect(found.next).toContain('Put this card into no unit.');
    expect((await run('check', card, '--for', 'hearth-90')).stdout.replace(/\s+/g, ' ')).toContain(
      '2.6.0, withdrawn)',
    );
  });

  test('twice: no second entry, and what was said first', async () => {
    const { json } = await must('withdraw', key, '--why', 'something else');
    expect(json.entry).toBeNull();
    expect(json.withdrawn).toMatchObject({ why: 'cabinets do not restart' });
    expect(json.cards).toHaveLength(1);
  });

  test('goes to another laptop with the record', async () => {
    const packet = join(folder, 'packet');
    await must('record', 'pack', packet);
    const second = join(folder, 'second');
    mkdirSync(second);
    const there = (...args: string[]) => runCli(args, { workspace: second });
    expect((await there('record', 'take-in', packet, '--json')).exit).toBe(0);
    expect((await there('check', card, '--for', key, '--json')).json.verdict).toBe('unfit');
  });

  test('by mistake: a correction takes it back', async () => {
    await must('log', '--corrects', entry, '--void', '--why', 'the wrong release');
    expect(await asked()).toEqual(before);
  });
});

describe('a unit that was updated on lights alone to a release that is withdrawn then', () => {
  const own = makeDemoWorkspace();
  afterAll(() => rmSync(own.folder, { recursive: true }));
  const at = (...args: string[]) => runCli(args, { workspace: own.workspace });
  const done = async (...args: string[]) => {
    const result = await at(...args, ...signed);
    expect([result.exit, result.json.error]).toEqual([0, undefined]);
    return result;
  };
  const lit = 'TB8120000834';
  const onLights = ['--lights', 'in-service', '--release', key];

  test('is named by withdraw, told apart from those that have it', async () => {
    for (const one of [lit, other])
      await done('units', 'add', one, '--hardware', 'B', '--site', 'Alder Farm', '--version', '2.5.0');
    await done('log', other, 'updated', '--version-read', '2.6.0', '--release', key);
    await done('log', lit, 'updated', ...onLights);
    const shown = (await at('units', 'show', lit, '--json')).json.unit;
    expect([shown.version, shown.status, shown.onWithdrawn]).toEqual(['2.5.0', 'to-confirm', false]);
    const { json } = await done('withdraw', key, '--why', 'cabinets do not restart');
    const units = json.units.map((unit: Record<string, unknown>) => [
      unit.serial,
      unit.updatedNotRead !== null,
    ]);
    expect(units.sort()).toEqual(
      [
        [other, false],
        [lit, true],
      ].sort(),
    );
    const named = json.units.find((unit: { serial: string }) => unit.serial === lit);
    expect(named).toMatchObject({ version: '2.5.0', updatedNotRead: { by: 'R. Quill', evidence: 'lights' } });
    const { stdout } = await at('withdraw', key, '--why', 'x', '--as', 'R. Quill');
    expect(stdout).toMatch(/not read since[\s\S]*TB8120000834[\s\S]*on lights alone/);
    expect(stdout.trim().replace(/\s+/g, ' ')).toMatch(/1 unit has it, and 1 unit may have it$/);
  });

  test('is told by the audit and units show, whatever its status is then', async () => {
    const shown = (await at('units', 'show', lit, '--json')).json.unit;
    expect(shown).toMatchObject({ version: '2.5.0', onWithdrawn: true });
    const { stdout: show } = await at('units', 'show', lit);
    expect(show).toMatch(/updated to 2\.6\.0 on .*, on lights alone, and not read since/);
    const audit = await at('audit', '--json');
    const row = audit.json.units.find((unit: { serial: string }) => unit.serial === lit);
    expect(row.onWithdrawn).toBe(true);
    expect(row.why).toContain('2.6.0 was withdrawn: cabinets do not restart.');
    const stdout = (await at('audit')).stdout.replace(/\s+/g, ' ');
    expect(stdout).toContain('hearth-90@2.6.0 (withdrawn): failed in 0 of 2 tries; carry it nowhere.');
    expect(stdout).toMatch(
      /1 unit updated to a release that is withdrawn now, and not read since: TB8120000834/,
    );
  });

  test('is warned of by plan and on its sheet, until its version was read', async () => {
    const older = 'TB8120001642';
    await done('units', 'add', older, '--hardware', 'B', '--site', 'Alder Farm', '--version', '2.4.0');
    await done('log', older, 'updated', ...onLights);
    const plan = await at('plan', '--site', 'Alder Farm');
    expect(plan.stdout.replace(/\s+/g, ' ')).toContain(
      'read its version first: updated to 2.6.0, which is withdrawn, on',
    );
    const sheet = async () => done('sheet', 'hearth-90', '--unit', older);
    const codesOf = ({ json }: CliResult) => codes({ json } as CliResult);
    const first = await sheet();
    expect(codesOf(first)).toContain('update-not-read');
    expect(readFileSync(first.json.path, 'utf8').replace(/[|\s]+/g, ' ')).toContain('updated to 2.6.0');
    await done('log', older, 'already-current', '--version-read', '2.4.0');
    const second = await sheet();
    expect(codesOf(second)).not.toContain('update-not-read');
    expect(readFileSync(second.json.path, 'utf8')).not.toContain('updated to 2.6.0');
  });
});

describe('refused', () => {
  const failed = async (...args: string[]) => {
    const { exit, json } = await run('withdraw', ...args, '--json');
    return [exit, json.error?.code];
  };
  test('a product alone, which would be whatever is newest', async () => {
    expect(await failed('hearth-90', '--why', 'x', '--as', 'R. Quill')).toEqual([2, 'release-not-exact']);
  });
  test('a release that nobody knows', async () => {
    expect(await failed('hearth-90@9.9.9', '--why', 'x', '--as', 'R. Quill')).toEqual([2, 'unknown-release']);
  });
  test('without a reason, or without a name', async () => {
    expect(await failed(key, '--as', 'R. Quill')).toEqual([2, 'answer-missing']);
    expect(await failed(key, '--why', 'x')).toEqual([2, 'answer-missing']);
  });
});

describe('a record that cannot be read, in which the release may be withdrawn', () => {
  const record = join(workspace, 'record.db');
  const damages: readonly (readonly [string, () => void])[] = [
    ['cut to half', () => truncateSync(record, statSync(record).size >> 1)],
    [
      'a folder in its place',
      () => {
        rmSync(record);
        mkdirSync(record);
      },
    ],
    ['an empty file', () => truncateSync(record)],
    ['another file', () => writeFileSync(record, 'no record'.repeat(1000))],
  ];
  for (const [what, damage] of damages) {
    test(`${what}: nothing is ready and nothing matches, and it is said why`, async () => {
      await must('record', 'mark');
      for (const end of ['-wal', '-shm']) rmSync(`${record}${end}`, { force: true });
      const whole = readFileSync(record);
      try {
        damage();
        const check = await run('check', card, '--for', key, '--json');
        expect([check.exit, check.json.verdict, codes(check)]).toEqual([3, 'unfit', ['withdrawals-unread']]);
        expect(check.json.findings[0]).toMatchObject({ severity: 'stop', where: record });
        expect(check.json.findings[0].next).not.toBe('');
        const verify = await run('verify', download, '--json');
        expect([verify.exit, verify.json.verdict]).toEqual([3, 'differs']);
        const stops = verify.json.findings.filter(
          ({ severity }: { severity: string }) => severity === 'stop',
        );
        expect(stops.map(({ code }: { code: string }) => code)).toEqual(['withdrawals-unread']);
        const told = await run('check', card, '--for', key);
        expect(told.stdout).not.toMatch(/^ready/m);
        expect((await run('verify', download)).stdout).not.toMatch(/^matches/m);
        // On site, what lights mean does not hang on it; nor does what lies on a card.
        expect((await run('lights', 'hearth-90', '--json')).exit).toBe(0);
        expect((await run('check', card, '--json')).json.verdict).toBe('sound');
      } finally {
        rmSync(record, { recursive: true, force: true });
        writeFileSync(record, whole, { mode: 0o600 });
      }
      expect((await run('check', card, '--for', key, '--json')).json.verdict).toBe('ready');
    });
  }

  test('where there is none at all, nothing was withdrawn there', async () => {
    const bare = makeDemoWorkspace();
    const asked = (...args: string[]) => runCli([...args, '--json'], { workspace: bare.workspace });
    expect((await asked('check', card, '--for', key)).json.verdict).toBe('ready');
    expect((await asked('verify', download)).json.verdict).toBe('matches');
    rmSync(bare.folder, { recursive: true });
  });
});

test('for people: the sentence that counts last, in 60 columns', async () => {
  const { stdout } = await runCli(['withdraw', key, '--why', 'cabinets do not restart', '--as', 'R. Quill'], {
    workspace,
    columns: 60,
  });
  const lines = stdout.trim().split('\n');
  expect(lines.slice(-2).join(' ').replace(/\s+/g, ' ')).toContain(
    `${key} is withdrawn; 1 card on record carries it, 1 unit has it`,
  );
  for (const line of lines) if (!line.includes(folder)) expect(line.length, line).toBeLessThanOrEqual(60);
});
