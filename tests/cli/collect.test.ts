// `collect` and what pocket pages tell: files, QR codes, spoken codes; taken once, by the rules of `log`, or refused
// with the reason.

import { spawnSync } from 'node:child_process';
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { run } from '../../src/commands/collect.ts';
import type { FiledOutcome, OutcomeSheet } from '../../src/sheet/outcome/outcome.ts';
import {
  asCode,
  asFile,
  asQr,
  kerbSerial,
  outcomeOf,
  type PocketWorkspace,
  pocketWorkspace,
} from '../support/pocket-outcomes.ts';
import { runCli } from '../support/run-cli.ts';
import { ctrlC, type ScriptedAnswer, scriptedPerson } from '../support/scripted-person.ts';
import { testClock } from '../support/test-clock.ts';

let workspace: PocketWorkspace;
let sheet: OutcomeSheet;
let [one, two, three] = ['', '', ''];
beforeEach(async () => {
  workspace = await pocketWorkspace();
  [one, two, three] = workspace.units as [string, string, string];
  sheet = await workspace.sheet(one, two);
});
afterEach(() => workspace.remove());

const collect = (...args: string[]) => workspace.collect(...args);
const fileOf = (outcome: FiledOutcome, name = 'outcome.json') => workspace.file(name, asFile(outcome, sheet));
const logged = () => workspace.outcomes();
const codesOf = (json: any): string[] => json.refused.map(({ code }: any) => code);

describe('what is taken in', () => {
  test('a file: all that it says, by whom and when, the file itself as evidence', async () => {
    const at = new Date(testClock.now() + 1000).toISOString();
    const outcome = outcomeOf(sheet, {
      at,
      versionBefore: '121',
      card: 'blue 3',
      told: 'Mx Reed',
      note: 'all\nwell',
    });
    const path = fileOf(outcome);
    const { exit, json } = await collect(path);
    expect([exit, json.refused]).toEqual([0, []]);
    expect(json.taken).toMatchObject([
      {
        source: path,
        form: 'file',
        sheet: sheet.sheet,
        serial: one,
        outcome: 'updated',
        evidence: 'read',
        release: 'kerb-22@126',
        left: 'running',
        by: 'M. Tansy',
        status: 'current',
      },
    ]);
    const [row] = logged();
    expect(row?.body).toMatchObject({
      versionBefore: '121',
      versionRead: '126',
      lights: 'loaded',
      card: 'blue 3',
      told: 'Mx Reed',
      note: 'all well',
      sheet: sheet.sheet,
      collected: { form: 'file', id: expect.stringMatching(/^[0-9a-f]{32}$/) },
    });
    expect([row?.typedBy, row?.doneBy]).toEqual(['R. Quill', 'M. Tansy']);
    expect(json.taken[0].entry).toMatchObject({ seq: row?.seq, hash: row?.hash });
    const digest = spawnSync('sha256sum', [path], { encoding: 'utf8' }).stdout.slice(0, 64);
    expect(row?.body).toMatchObject({ collected: { sha256: digest } });
    expect(readdirSync(join(workspace.path, 'evidence'))).toEqual([`${digest}.json`]);
  });

  test('the time is the page’s own', async () => {
    const facts = join(workspace.path, 'sheets', `${sheet.sheet}.json`);
    writeFileSync(
      facts,
      readFileSync(facts, 'utf8').replace(/"madeAt": "[^"]+"/, '"madeAt": "2026-01-01T08:00:00.000+00:00"'),
    );
    await collect(fileOf(outcomeOf(sheet, { at: '2026-02-03T10:15:00.000+02:00' })));
    expect(new Date(logged()[0]?.claimedAt ?? '').toISOString()).toBe('2026-02-03T08:15:00.000Z');
  });

  test('the text of a QR code, as it was scanned, in small letters, or broken into lines', async () => {
    const texts = ['updated', 'failed', 'deferred'] as const;
    const made = texts.map((outcome, i) =>
      asQr(
        outcomeOf(sheet, {
          outcome,
          row: 2,
          serial: two,
          at: new Date(testClock.now() + i * 1000).toISOString(),
          ...(outcome === 'deferred' ? { versionRead: undefined, lights: undefined, left: undefined } : {}),
        } as never),
        sheet,
      ),
    );
    const [plain, small, broken] = made as [string, string, string];
    const paths = [
      workspace.file('a.txt', `${plain}\n`),
      workspace.file('b.txt', small.toLowerCase()),
      workspace.file('c.txt', broken.replace(/(.{60})/g, '$1\r\n')),
    ];
    const { exit, json } = await collect(...paths);
    expect(json.refused).toEqual([]);
    expect([exit, json.taken.map(({ form }: any) => form)]).toEqual([0, ['qr', 'qr', 'qr']]);
  });

  test('a spoken code: typed in, for a sheet that is said or for whichever knows it', async () => {
    const code = asCode(outcomeOf(sheet, { versionRead: undefined, left: 'off' } as never), sheet);
    const { exit, json } = await collect(
      '--code',
      code.toLowerCase().replaceAll('-', ' '),
      '--by',
      'M. Tansy',
    );
    expect(exit).toBe(0);
    expect(json.taken).toMatchObject([
      {
        form: 'code',
        serial: one,
        outcome: 'updated',
        evidence: 'lights',
        left: 'off',
        by: 'M. Tansy',
        status: 'to-confirm',
      },
    ]);
    const other = asCode(outcomeOf(sheet, { row: 2, serial: two, outcome: 'failed', cause: 'card' }), sheet);
    expect(
      (await collect('--code', other, '--sheet', sheet.sheet, '--at', '2026-01-01T10:00')).json.taken,
    ).toMatchObject([{ serial: two, outcome: 'failed', by: 'R. Quill' }]);
    expect(logged()[1]?.claimedAt).toMatch(/^2026-01-01T10:00/);
  });

  test('a text with a line for each', async () => {
    const lines = [
      asCode(outcomeOf(sheet), sheet),
      '',
      asQr(outcomeOf(sheet, { row: 2, serial: two }), sheet),
    ];
    const { exit, json } = await collect(workspace.file('codes.txt', lines.join('\r\n')));
    expect(exit).toBe(0);
    expect(json.taken.map(({ form, source }: any) => [form, source.split(':').at(-1)])).toEqual([
      ['code', '1'],
      ['qr', '3'],
    ]);
  });

  test('a folder of files, others left alone', async () => {
    const folder = join(workspace.path, 'phone');
    mkdirSync(folder);
    writeFileSync(join(folder, 'one.json'), asFile(outcomeOf(sheet), sheet));
    writeFileSync(join(folder, 'two.txt'), asQr(outcomeOf(sheet, { row: 2, serial: two }), sheet));
    writeFileSync(join(folder, 'letter.txt'), 'dear all');
    writeFileSync(join(folder, 'data.json'), '{"a":1}');
    writeFileSync(join(folder, 'picture.jpg'), 'x');
    const { exit, json } = await collect(folder);
    expect([exit, json.taken.length, json.refused]).toEqual([0, 2, []]);
    const empty = join(workspace.path, 'empty');
    mkdirSync(empty);
    expect(await collect(empty)).toMatchObject({ exit: 3, json: { refused: [{ code: 'nothing-here' }] } });
  });

  test('a sheet whose serial was written in by hand', async () => {
    sheet = await workspace.sheet();
    const { json } = await collect(fileOf(outcomeOf(sheet, { serial: three.toLowerCase() })));
    expect(json.taken).toMatchObject([{ serial: three, status: 'current' }]);
    const code = asCode(outcomeOf(sheet, { serial: three }), sheet);
    expect(codesOf((await collect('--code', code)).json)).toEqual(['taken-already']);
  });

  test('another version than the release’s counts as failed, unless the page asked and the display shows it', async () => {
    const wrong = outcomeOf(sheet, { versionRead: '124' });
    const { json, stderr } = await collect(fileOf(wrong));
    expect(json.taken[0]).toMatchObject({ outcome: 'failed', said: 'updated', status: 'failed' });
    expect(stderr).toContain('recorded as failed');
    const confirmed = outcomeOf(sheet, { row: 2, serial: two, versionRead: '124', displayConfirmed: true });
    expect((await collect(fileOf(confirmed))).json.taken[0]).toMatchObject({ outcome: 'updated' });
  });

  test('another revision on the plate than in the register is told and kept', async () => {
    const { json } = await collect(fileOf(outcomeOf(sheet, { revision: 'R3', note: 'wet' })));
    expect(json.taken[0].notices.join()).toContain('Revision R3 on the plate, R2 in the register.');
    expect(logged()[0]?.body.note).toBe('wet Revision R3 on the plate, R2 in the register.');
  });

  test('for people: what was taken, what was refused and why, the count last', async () => {
    const path = fileOf(outcomeOf(sheet));
    const { stdout } = await runCli(['collect', path, path, '--as', 'R. Quill'], {
      workspace: workspace.path,
    });
    expect(stdout).toContain(`taken: ${one} updated, entry `);
    expect(stdout).toMatch(
      /^refused: This was taken already[^\n]*\n {2}from [^\n]*\n {2}next: Nothing, unless it happened/m,
    );
    expect(stdout.trimEnd().split('\n').at(-1)).toBe('1 taken in, 1 refused.');
  });
});

describe('nothing is taken twice', () => {
  test('the same file, its QR code, its code: refused, with the entry', async () => {
    const outcome = outcomeOf(sheet);
    const path = fileOf(outcome);
    const first = await collect(path);
    const again = await collect(
      path,
      workspace.file('qr.txt', asQr(outcome, sheet)),
      '--code',
      asCode(outcome, sheet),
    );
    expect([again.exit, codesOf(again.json)]).toEqual([
      3,
      ['taken-already', 'taken-already', 'taken-already'],
    ]);
    for (const { entry, next } of again.json.refused) {
      expect(entry).toBe(first.json.taken[0].entry.id);
      expect(next).toContain('slotproof log');
    }
    expect(logged()).toHaveLength(1);
  });

  test('the file after its code is kept, since it tells more, and both count as one', async () => {
    const outcome = outcomeOf(sheet, {
      outcome: 'failed',
      versionRead: undefined,
      left: 'off',
      note: 'smoke',
    } as never);
    await collect('--code', asCode(outcome, sheet));
    const { exit, json } = await collect(fileOf(outcome));
    expect(exit).toBe(0);
    expect(json.taken[0].notices.join()).toContain('both count as one');
    expect(logged()).toHaveLength(2);
    const audit = await workspace.cli('audit');
    expect(audit.json.releases).toMatchObject([{ release: 'kerb-22@126', tried: 1, failed: 1 }]);
  });

  test('what was logged from paper is known again', async () => {
    await workspace.cli(
      'log',
      one,
      'updated',
      '--version-read',
      '126',
      '--lights',
      'loaded',
      '--sheet',
      sheet.sheet,
      '--as',
      'x',
    );
    expect(codesOf((await collect('--code', asCode(outcomeOf(sheet), sheet))).json)).toEqual([
      'taken-already',
    ]);
    expect((await collect(fileOf(outcomeOf(sheet)))).exit).toBe(0);
    expect((await workspace.cli('audit')).json.releases).toMatchObject([{ tried: 1 }]);
  });

  test('and the rows of the sheet know what was collected', async () => {
    await collect(fileOf(outcomeOf(sheet)));
    const answers = workspace.file('rows.jsonl', JSON.stringify({ row: 1, outcome: 'failed' }));
    const { json } = await workspace.cli('log', '--sheet', sheet.sheet, '--answers', answers, '--as', 'x');
    expect(json.skipped).toMatchObject([{ code: 'logged-before' }]);
  });

  test('another outcome of the same row is another', async () => {
    const first = outcomeOf(sheet, { outcome: 'failed', versionRead: undefined, left: 'off' } as never);
    const second = outcomeOf(sheet, { at: new Date(testClock.now() + 2000).toISOString() });
    expect((await collect(fileOf(first, 'a.json'), fileOf(second, 'b.json'))).json.taken).toHaveLength(2);
    // The first one's code again: it is old by now, and says so.
    const { json } = await collect('--code', asCode(first, sheet));
    expect(json.refused[0].summary).toContain('Something else was logged from the sheet since');
  });
});

describe('what is refused', () => {
  const refusedAs = async (code: string, ...args: string[]) => {
    const before = logged().length;
    const { exit, json } = await collect(...args);
    expect([exit, codesOf(json), json.taken], JSON.stringify(json)).toEqual([3, [code], []]);
    expect(logged()).toHaveLength(before);
    // One step to take, and not within the reason as well.
    expect(json.refused[0].next).toMatch(/^[A-Z]\S+( \S+)+$/);
    expect(json.refused[0].summary).not.toMatch(/slotproof |Compare|again\./);
    return json.refused[0];
  };

  test('forged: any field changed, another key, a check made up', async () => {
    const whole = asFile(outcomeOf(sheet), sheet);
    for (const [from, to] of [
      ['"updated"', '"already-current"'],
      ['"126"', '"127"'],
      ['"running"', '"off"'],
      ['M. Tansy', 'M. Tansi'],
      [two, two],
      [/"check": "[0-9a-f]{64}"/, `"check": "${'0'.repeat(64)}"`],
    ] as const) {
      const changed = whole.replace(from, to);
      if (changed === whole) continue;
      await refusedAs('forged', workspace.file('forged.json', changed));
    }
    const other = { ...sheet, key: 'ff'.repeat(32) };
    await refusedAs('forged', workspace.file('key.json', asFile(outcomeOf(sheet), other)));
    await refusedAs('forged', workspace.file('key.txt', asQr(outcomeOf(sheet), other)));
    await refusedAs('forged', '--code', asCode(outcomeOf(sheet), other), '--sheet', sheet.sheet);
  });

  test('mistyped: one character of a code or of a QR code', async () => {
    const code = asCode(outcomeOf(sheet), sheet);
    await refusedAs(
      'mistyped',
      '--code',
      code.replace(/.$/, (last) => (last === 'C' ? 'D' : 'C')),
    );
    await refusedAs('mistyped', '--code', code.slice(0, -1), '--sheet', sheet.sheet);
    const qr = asQr(outcomeOf(sheet), sheet);
    await refusedAs(
      'mistyped',
      workspace.file(
        'q.txt',
        qr.replace(/.$/, (last) => (last === 'A' ? 'B' : 'A')),
      ),
    );
    await refusedAs('mistyped', '--code', qr.slice(0, -8));
  });

  test('of another sheet: one that this laptop does not know, one without a page, another than was said', async () => {
    const foreign = { ...sheet, sheet: 'K7MD-29XX' };
    const known = await workspace.sheet(two);
    const told = await refusedAs(
      'wrong-sheet',
      workspace.file('f.json', asFile(outcomeOf(foreign), foreign)),
    );
    expect(told).toMatchObject({ sheet: 'K7MD-29XX' });
    expect(told.summary).toContain('not made on this laptop');
    await refusedAs('wrong-sheet', workspace.file('f.txt', asQr(outcomeOf(foreign), foreign)));
    await refusedAs('wrong-sheet', '--code', asCode(outcomeOf(foreign), foreign));
    await refusedAs('wrong-sheet', fileOf(outcomeOf(sheet)), '--sheet', known.sheet);
    await refusedAs('wrong-sheet', '--code', asCode(outcomeOf(sheet), sheet), '--sheet', known.sheet);
    const bare = (await workspace.cli('sheet', 'kerb-22@126', '--unit', one)).json.sheet;
    const made = { ...sheet, sheet: bare };
    expect(
      (await refusedAs('wrong-sheet', workspace.file('g.json', asFile(outcomeOf(made), made)))).summary,
    ).toContain('no pocket page');
  });

  test('of another unit: not on the sheet, not in its row, not the one asked for, not registered, retired', async () => {
    expect(await refusedAs('wrong-unit', fileOf(outcomeOf(sheet, { serial: three })))).toMatchObject({
      serial: three,
    });
    await refusedAs('wrong-unit', fileOf(outcomeOf(sheet, { row: 2 })));
    await refusedAs('wrong-unit', fileOf(outcomeOf(sheet)), '--unit', two);
    await workspace.cli('units', 'retire', one);
    await refusedAs('unit-retired', fileOf(outcomeOf(sheet)));
    sheet = await workspace.sheet();
    expect(
      (await refusedAs('unit-unknown', fileOf(outcomeOf(sheet, { serial: kerbSerial(99) })))).summary,
    ).toContain('not registered');
    expect(
      (await workspace.cli('units', 'add', 'TB8120000834', '--site', 'B', '--hardware', 'B')).json,
    ).toMatchObject({
      added: 1,
    });
    await refusedAs('other-product', fileOf(outcomeOf(sheet, { serial: 'TB8120000834' })));
  });

  test('what the rules of log refuse', async () => {
    const cases: [string, Partial<FiledOutcome>][] = [
      ['version-form', { versionRead: 'newest' }],
      ['pattern-unknown', { lights: 'green' }],
      ['option-misplaced', { outcome: 'failed', reason: 'no-time' }],
      ['option-misplaced', { cause: 'card' }],
      ['answer-missing', { outcome: 'already-current', versionRead: undefined } as never],
    ];
    for (const [code, changes] of cases) await refusedAs(code, fileOf(outcomeOf(sheet, changes)));
  });

  test('a clock that cannot be right, unless the time is said', async () => {
    const late = fileOf(outcomeOf(sheet, { at: '2999-01-01T10:00:00.000Z' }), 'late.json');
    const early = fileOf(
      outcomeOf(sheet, { row: 2, serial: two, at: '2001-01-01T10:00:00.000Z' }),
      'early.json',
    );
    expect((await refusedAs('time-future', late)).next).toContain('--at');
    expect((await refusedAs('time-before-sheet', early)).next).toContain('--at');
    expect((await collect(late, early, '--at', '2026-02-01T10:00')).json.taken).toHaveLength(2);
    expect(logged()[0]).toMatchObject({ doneBy: 'M. Tansy' });
  });

  test('a phone a little ahead is no matter: it was now', async () => {
    const { exit } = await collect(
      fileOf(outcomeOf(sheet, { at: new Date(testClock.now() + 300_000).toISOString() })),
    );
    expect(exit).toBe(0);
    expect(Date.parse(logged()[0]?.claimedAt ?? '')).toBeLessThanOrEqual(testClock.now());
  });

  test('control characters in what would be kept', async () => {
    await refusedAs('text-unfit', fileOf(outcomeOf(sheet, { note: 'a\u0007b' })));
    await refusedAs('text-unfit', fileOf(outcomeOf(sheet, { by: '\u202eevil' })));
    const { stdout } = await runCli(
      ['collect', fileOf(outcomeOf(sheet, { serial: '\u001b[31mX\u202e' })), '--as', 'x'],
      { workspace: workspace.path },
    );
    expect(stdout).not.toMatch(/[\u001b\u202e]/);
  });

  test('a bad one stops no good one: done in part', async () => {
    const { exit, json } = await collect(
      workspace.file('bad.json', 'no outcome at all!'),
      fileOf(outcomeOf(sheet)),
      workspace.file('bad.txt', ''),
    );
    expect([exit, json.taken.length, codesOf(json)]).toEqual([4, 1, ['malformed', 'malformed']]);
    for (const { source } of json.refused) expect(source).toMatch(/^\/.*bad\./);
  });
});

describe('hostile files', () => {
  const { parse, stringify } = JSON;
  const values: [string, unknown][] = [
    ['nothing', undefined],
    ['null', null],
    ['a number', 7],
    ['a list', [1]],
    ['an object', { a: 1 }],
    ['an empty text', ''],
    ['a long text', 'x'.repeat(100_000)],
    ['half of a character', '\ud800'],
    ['truth', true],
  ];
  const fields = [
    'sheet',
    'row',
    'serial',
    'outcome',
    'at',
    'by',
    'versionRead',
    'lights',
    'left',
    'note',
    'steps',
    'check',
    'format',
    'slotproof',
  ];

  test('every field with every wrong kind of value: refused, never a bug, nothing written', async () => {
    const whole = parse(asFile(outcomeOf(sheet), sheet));
    const paths = fields.flatMap((field, f) =>
      values.flatMap(([, value], v) => {
        const changed = stringify({ ...whole, [field]: value });
        // A field that was not there is not missed.
        return changed === stringify(whole) ? [] : [workspace.file(`wrong-${f}-${v}.json`, changed)];
      }),
    );
    expect(paths.length).toBeGreaterThan(120);
    const { exit, json, stderr } = await collect(...paths);
    expect(exit, stderr).toBe(3);
    expect(json.refused).toHaveLength(paths.length);
    const usual = ['malformed', 'forged'];
    expect(codesOf(json).filter((code) => !usual.includes(code))).toEqual([]);
    expect(logged()).toEqual([]);
  });

  test('the same with a check that is right, as somebody with the page could make it', async () => {
    for (const [name, value] of values.slice(2)) {
      for (const field of ['serial', 'outcome', 'at', 'by', 'note', 'versionRead', 'steps', 'row']) {
        if ((field === 'note' || field === 'by' || field === 'versionRead') && name === 'a long text')
          continue;
        let text: string;
        try {
          text = asFile({ ...outcomeOf(sheet), [field]: value } as never, sheet);
        } catch {
          continue;
        }
        const { exit, json } = await collect(workspace.file('made.json', text));
        expect([exit, json.taken], `${field}: ${name}`).toEqual([3, []]);
      }
    }
  });

  test('bombs and rubbish', async () => {
    const deep = `{"slotproof":"outcome","format":1,"sheet":"${sheet.sheet}","note":${'['.repeat(200_000)}${']'.repeat(200_000)},"check":"x"}`;
    const deepSteps = `{"slotproof":"outcome","format":1,"sheet":"${sheet.sheet}","steps":[${'{"facts":'.repeat(20_000)}1${'}'.repeat(20_000)}],"check":"x"}`;
    const wide = `{"slotproof":"outcome","format":1,"sheet":"${sheet.sheet}",${Array.from({ length: 50_000 }, (_, i) => `"k${i}":1`).join(',')}}`;
    const files = {
      deep,
      deepSteps,
      wide,
      huge: 'x'.repeat(8_000_001),
      long: ' '.repeat(3_000_000),
      lines: 'K7MD-29XH\n'.repeat(5000),
      zeros: '\u0000'.repeat(10_000),
      proto: '{"__proto__":{"slotproof":"outcome"},"constructor":1}',
      array: '[[[]]]',
      number: '1e999',
      html: '<!doctype html><p>log in</p>',
      code: 'C'.repeat(400),
      dashes: '-'.repeat(300),
    };
    const paths = Object.entries(files).map(([name, text]) => workspace.file(`${name}.json`, text));
    const { exit, json } = await collect(...paths, '--code', 'x'.repeat(100_000), '--code', '');
    expect([exit, json.taken, json.refused.length]).toEqual([3, [], paths.length + 2]);
    expect(
      codesOf(json).every((code) => ['malformed', 'mistyped', 'too-large', 'wrong-sheet'].includes(code)),
    ).toBe(true);
    expect(JSON.stringify(json).length).toBeLessThan(20_000);
  });

  test('bytes that are no text', async () => {
    const bytes = Uint8Array.from({ length: 5000 }, (_, i) => (i * 37) & 0xff);
    expect(codesOf((await collect(workspace.file('b.json', bytes))).json)).toEqual(['malformed']);
  });
});

describe('wrong use', () => {
  test('an absent path is told before anything is taken', async () => {
    const { exit, json } = await collect(fileOf(outcomeOf(sheet)), '/nowhere/at/all.json');
    expect([exit, json.error.code, logged()]).toEqual([2, 'file-absent', []]);
  });

  test.each([
    [['--sheet', 'nonsense'], 'sheet-number-mistyped'],
    [['--at', 'yesterday'], 'time-form'],
    [['--unit', 'TKR0'], 'unit-unknown'],
    [['--by', ' '], 'text-unfit'],
  ])('%j: %s', async (more, code) => {
    expect(await collect(fileOf(outcomeOf(sheet)), ...more)).toMatchObject({
      exit: 2,
      json: { error: { code } },
    });
    expect(logged()).toEqual([]);
  });

  test('nothing at all, or nobody named', async () => {
    expect((await collect()).json.error.code).toBe('answer-missing');
    const { exit, json } = await workspace.cli('collect', fileOf(outcomeOf(sheet)));
    expect([exit, json.error.next]).toEqual([2, expect.stringContaining('--as')]);
  });
});

describe('at a terminal', () => {
  async function atTerminal(codes: readonly string[], answers: readonly ScriptedAnswer[]) {
    const person = scriptedPerson(workspace.path, answers);
    const answer = await run(person.context, [], { code: codes }).finally(person.close);
    person.requireAllAsked();
    return { answer, json: answer.json as any, notices: person.notices };
  }

  test('a code says neither who nor when: asked, with what it says to compare', async () => {
    const { json, notices } = await atTerminal(
      [asCode(outcomeOf(sheet), sheet)],
      [
        ['Who is working', 'R. Quill'],
        ['Who was on site', 'M. Tansy'],
        ['When was it', 'lunchtime'],
        ['When was it', '2026-03-01T12:00'],
      ],
    );
    expect(notices.join('\n')).toContain(`${one}: updated, version 126, lights loaded, running.`);
    expect(json.taken).toMatchObject([{ by: 'M. Tansy' }]);
    expect(logged()[0]?.claimedAt).toMatch(/^2026-03-01T12:00/);
  });

  test('Ctrl-C at the second code: the first stays taken, and is told', async () => {
    const second = asCode(outcomeOf(sheet, { row: 2, serial: two }), sheet);
    const { answer, json } = await atTerminal(
      [asCode(outcomeOf(sheet), sheet), second],
      [
        ['Who is working', 'R. Quill'],
        ['Who was on site', '-'],
        ['When was it', 'now'],
        ['Who was on site', ctrlC],
      ],
    );
    expect([answer.exit, json.stopped, json.taken.length]).toEqual([130, true, 1]);
    expect(logged()).toHaveLength(1);
  });
});
