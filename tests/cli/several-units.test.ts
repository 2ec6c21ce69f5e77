// Several units on a site, as a person meets them: one sheet with the rows in the order of their roles and shared steps
// once; visits that are refused out of order; shared steps that are walked at one unit and not asked for at the next.

import { readFileSync } from 'node:fs';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { recordCard } from '../support/opened-workspace.ts';
import { pdfText } from '../support/pdf-pages.ts';
import { type SiteWorkspace, siteUnits, siteWorkspace } from '../support/site-workspace.ts';
import { testClock } from '../support/test-clock.ts';
import type { Line } from '../support/walk-script.ts';

const [plain, mainPump, relay, spare] = siteUnits.map(({ serial }) => serial) as [
  string,
  string,
  string,
  string,
];
const inOrder = [mainPump, plain, spare, relay];

let at: SiteWorkspace;

describe('a sheet', () => {
  beforeAll(async () => {
    at = await siteWorkspace();
  });
  afterAll(() => at.remove());
  const units = ['--unit', ...siteUnits.map(({ serial }) => serial)];
  const sheet = (...args: string[]) => at.run('sheet', 'rill-40', ...args, '--as', 'R. Quill');

  test('has its rows in the order of the roles, whatever order they were named in', async () => {
    const { json } = await sheet(...units, '--json');
    expect(json.units).toEqual(inOrder);
    const text = readFileSync(json.path, 'utf8');
    expect(inOrder.map((serial) => text.indexOf(serial))).toEqual(
      inOrder.map((serial) => text.indexOf(serial)).sort((a, b) => a - b),
    );
    expect(text.replace(/\s+/g, ' ')).toContain('Begin none while one before it is still to be done.');
    // It is printed so, and `log --sheet` goes through it so.
    const facts = JSON.parse(readFileSync(json.path.replace(/\.txt$/, '.json'), 'utf8'));
    expect(facts.units.map(({ serial }: { serial: string }) => serial)).toEqual(inOrder);
  });

  test('has one box for what is done once, and one for every row for the rest; in every form', async () => {
    const { stdout } = await sheet(...units);
    const block = (words: string) => {
      const lines = stdout.split('\n');
      const from = lines.findIndex((line) => line.includes(words));
      const begin = lines.slice(0, from).lastIndexOf('');
      return lines.slice(begin, begin + 1 + lines.slice(begin + 1).indexOf('')).join('\n');
    };
    expect(block('Switch the hub of the site off').match(/\[ \]/g)).toHaveLength(1);
    expect(block('Switch the hub of the site off')).toContain('ONCE FOR THE SITE: only with the first unit');
    expect(block('Slide the card in').match(/\d \[ \]/g)).toHaveLength(4);
    expect(stdout).toContain('hub on (at every unit after the first: hub off)');
    const html = readFileSync((await sheet(...units, '--format', 'html', '--json')).json.path, 'utf8');
    expect(html.match(/ONCE FOR THE SITE/g)).toHaveLength(3);
    expect(html).toContain('begin no other unit before the helpline');
    const pdf = pdfText(readFileSync((await sheet(...units, '--format', 'pdf', '--json')).json.path)).join(
      ' ',
    );
    expect(pdf.match(/ONCE FOR THE SITE/g)).toHaveLength(3);
    const pocket = readFileSync((await sheet(...units, '--format', 'pocket', '--json')).json.path, 'utf8');
    expect(pocket.replace(/<script[\s\S]*/, '').match(/ONCE FOR THE SITE/g)).toHaveLength(3);
  });

  test('counts what is done once, once', async () => {
    const hour = async (...named: string[]) => {
      const { stdout } = await sheet('--unit', ...named, '--day-ends', '16:00');
      const [, hours, minutes] = /BEGIN (?:THE FIRST BY|NO UNIT AFTER) (\d+):(\d+)/.exec(stdout) ?? [];
      return Number(hours) * 60 + Number(minutes);
    };
    const one = await hour(plain);
    const two = await hour(plain, spare);
    const three = await hour(plain, spare, mainPump);
    // Every unit after the first is ten minutes shorter than one alone: by the hub that is off already.
    expect(two - three).toBe(one - two);
    const alone = 15 * 60 - one;
    expect(one - two).toBe(alone - 10);
  });

  test('of some of them says who comes before', async () => {
    const { json, exit } = await sheet('--unit', relay, '--json');
    expect(exit).toBe(0);
    expect(json.findings).toMatchObject([{ code: 'order-of-units', severity: 'warn', where: relay }]);
    expect(json.findings[0].seen).toBe([plain, mainPump, spare].sort().join(', '));
  });
});

describe('visits', () => {
  beforeEach(async () => {
    at = await siteWorkspace();
    await recordCard(at.workspace, 'C-7', 'rill-40@4.2.0', { atMs: testClock.now() - 7_200_000 });
  });
  afterEach(() => at.remove());

  const begun = (serial: string): Line[] => [
    { ask: 'cautions', read: true },
    { ask: 'card', card: 'C-7' },
    { ask: 'plate', lastFour: serial.slice(-4), revision: 'B' },
    { ask: 'version-before', version: '4.1.0' },
    { ask: 'starts', asSaid: true },
  ];
  const hubOff: Line = { step: 'hub-off', done: true };
  const hubOn: Line = { step: 'hub-on', done: true };
  const body: Line[] = [
    { step: 'insert', done: true },
    { step: 'look', lights: 'taken' },
    { step: 'out', done: true },
    { step: 'after', version: '4.2.0' },
  ];
  const after: Line[] = [
    { step: 'serving', serves: [true] },
    { ask: 'service', serves: [true] },
    { ask: 'left', left: 'running' },
    { ask: 'told', name: 'M. Alder' },
  ];

  test('out of order are refused before anything is asked, and nothing is written', async () => {
    for (const serial of [plain, relay]) {
      const { exit, json } = await at.visit(serial, begun(serial));
      expect([exit, json.findings[0].code, json.findings[0].severity]).toEqual([3, 'order-of-units', 'stop']);
      expect(json.findings[0].seen).toContain(mainPump);
      expect(json.findings[0].next).toContain('units exempt');
    }
    expect((await at.run('record', 'check', '--json')).json.entries).toBe(2 * siteUnits.length + 1);
  });

  test('a first unit that is deferred is still to be done; one that is exempt is not waited for', async () => {
    const deferred = ['log', mainPump, 'deferred', '--reason', 'no-access', '--as', 'R. Quill'];
    expect((await at.run(...deferred)).exit).toBe(0);
    expect((await at.visit(plain, begun(plain))).json.findings[0].code).toBe('order-of-units');
    expect((await at.run('units', 'exempt', mainPump, '--why', 'scrapped', '--as', 'R. Quill')).exit).toBe(0);
    const { json } = await at.visit(plain, [...begun(plain), hubOff, ...body, hubOn, ...after]);
    expect(json.outcome).toBe('updated');
  });

  test('what is done once is walked with the first and with the last, and not between', async () => {
    const first = await at.visit(mainPump, [...begun(mainPump), hubOff, ...body, ...after], '--more-units');
    expect(first.json).toMatchObject({ outcome: 'updated' });
    expect(first.json.path).toEqual(['hub-off', 'insert', 'look', 'out', 'after', 'serving', 'finished']);
    expect(first.json.siteOpen).toEqual({ hub: 'off' });
    expect(first.stderr.replace(/\s+/g, ' ')).toContain('The site is still as it was opened (hub off).');
    const between = await at.visit(plain, [...begun(plain), ...body, ...after], '--more-units');
    expect(between.stderr).toContain(`was done at ${mainPump}`);
    expect(between.json.path).toEqual(['insert', 'look', 'out', 'after', 'serving', 'finished']);
    expect((await at.visit(spare, [...begun(spare), ...body, ...after], '--more-units')).exit).toBe(0);
    const last = await at.visit(relay, [...begun(relay), ...body, hubOn, ...after]);
    expect(last.json.path).toEqual(['insert', 'look', 'out', 'after', 'hub-on', 'serving', 'finished']);
    expect(last.json.siteOpen).toBe(null);
    // The site is closed again: another unit would begin with all of it.
    expect((await at.run('record', 'check', '--json')).json.verdict).toBe('intact');
  });

  test('a last unit that is not even begun leaves the site open, and that is said', async () => {
    await at.visit(mainPump, [...begun(mainPump), hubOff, ...body, ...after], '--more-units');
    const { json, stderr } = await at.visit(plain, [
      { ask: 'cautions', read: true },
      { ask: 'card', card: 'C-7' },
      { ask: 'plate', lastFour: plain.slice(-4), revision: 'B' },
      { ask: 'version-before', version: '4.2.0' },
    ]);
    expect(json).toMatchObject({ outcome: 'already-current', siteOpen: { hub: 'off' } });
    expect(stderr).toContain('Before you leave it');
  });

  test('without a word of more units the site is closed again, and opened with the next one', async () => {
    const whole = [hubOff, ...body, hubOn, ...after];
    expect((await at.visit(mainPump, [...begun(mainPump), ...whole])).exit).toBe(0);
    expect((await at.visit(plain, [...begun(plain), ...whole])).json.path[0]).toBe('hub-off');
  });

  test('a site that somebody else has opened is begun so', async () => {
    const { json } = await at.visit(
      mainPump,
      [...begun(mainPump), ...body, hubOn, ...after],
      '--site-opened',
    );
    expect(json.path[0]).toBe('insert');
  });

  test('a walk that broke off goes on at its own turn', async () => {
    const stopped = [{ stop: true }, { ask: 'stopped', choice: 'break-off' }];
    const broken = await at.visit(
      mainPump,
      [...begun(mainPump), hubOff, ...body.slice(0, 1), ...stopped],
      '--more-units',
    );
    expect(broken.exit).toBe(130);
    const anew: Line[] = [
      { ask: 'cautions', read: true },
      { ask: 'plate', lastFour: mainPump.slice(-4), revision: 'B' },
      { ask: 'positions', positions: { hub: 'off', card: 'in' } },
    ];
    const { json } = await at.visit(mainPump, [...anew, ...body.slice(1), ...after]);
    expect(json.error).toBeUndefined();
    expect(json.path).toEqual(['hub-off', 'insert', 'look', 'out', 'after', 'serving', 'finished']);
  });

  test('after an end that holds the site no other unit is begun there', async () => {
    const { json } = await at.visit(mainPump, [
      ...begun(mainPump),
      hubOff,
      { step: 'insert', done: true },
      { step: 'look', unlisted: true },
      { step: 'alone', done: true },
      { ask: 'left', left: 'off' },
      { ask: 'cause', cause: 'unit' },
      { ask: 'case', number: '4471' },
      { ask: 'told', name: 'M. Alder' },
    ]);
    expect(json.outcome).toBe('failed');
    // By role it would be refused as well: the failed one is still to be done.
    const codes = (await at.visit(plain, begun(plain))).json.findings.map(
      ({ code }: { code: string }) => code,
    );
    expect(codes).toEqual(['order-of-units', 'site-ended']);
  });
});
