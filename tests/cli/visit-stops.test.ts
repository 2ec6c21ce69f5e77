// `visit` stopped, broken off and taken up again; visits that end before anything is touched; what must not be
// begun at all.

import { closeSync, openSync, readFileSync, rmSync, writeFileSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { compose } from '../../src/compose.ts';
import { pumpImage, pumpWorkspace } from '../support/pump-workspace.ts';
import { runCli } from '../support/run-cli.ts';
import { testClock } from '../support/test-clock.ts';
import { type VisitWorkspace, visitStartMs, visitWorkspace } from '../support/visit-workspace.ts';
import { asText, type Line, scriptFor, timed, walkCases } from '../support/walk-script.ts';

const hearth = scriptFor(walkCases[0]!);
const { serial } = hearth.case;
const updated = hearth.ways().find(({ end }) => end === 'done')!;
const key = 'hearth-90@2.6.0';

/** The lines of the way to `done` up to this step, and those from it on. */
function cutAt(step: string): { until: Line[]; from: Line[] } {
  const lines = timed(updated.lines, visitStartMs());
  const index = lines.findIndex((line) => line.step === step);
  return { until: lines.slice(0, index), from: lines.slice(index) };
}
const breakOff: Line[] = [{ stop: true }, { ask: 'stopped', choice: 'break-off' }];
/** Everything that is asked anew; a time after the break, since answers without one are given now. */
const anew = (positions: Record<string, string>, ...measured: Line[]): Line[] => [
  { ask: 'cautions', read: true },
  { ask: 'plate', lastFour: serial.slice(-4), revision: 'B' },
  { ask: 'positions', positions },
  ...measured,
];
const dead: Line = { ask: 'prove-dead', meterBefore: true, readings: [0, 0.4, '-1,2'], meterAfter: true };

let at: VisitWorkspace;

function changeManifest(from: string, to: string): void {
  const path = join(at.workspace, 'manifests/tarnholt/hearth-90.yaml');
  const text = readFileSync(path, 'utf8');
  expect(text).toContain(from);
  writeFileSync(path, text.replace(from, to));
}

beforeEach(async () => {
  at = await visitWorkspace();
  await at.card('C-7', key);
});
afterEach(() => at.remove());

describe('a stop', () => {
  test('while it may be writing: no order, the positions, and nothing is logged as an outcome', async () => {
    const { until } = cutAt('look');
    const { exit, json } = await at.visit(serial, [...until, ...breakOff]);
    expect(exit).toBe(130);
    expect(json).toMatchObject({
      outcome: null,
      evidence: null,
      entry: null,
      path: updated.path.slice(0, updated.path.indexOf('look')),
      stopped: { why: 'asked', step: 'look', mayBeWriting: true, order: null, untouched: false },
    });
    expect(json.stopped.positions).toContainEqual({ name: 'card', state: 'in', orElse: null, ends: 'out' });
    const entries = await at.entries();
    expect(entries.some(({ kind }) => kind === 'outcome' || kind === 'visit-ended')).toBe(false);
    expect(entries.at(-1)).toMatchObject({ kind: 'step-done', body: { step: 'begin' } });
  });

  test('in words: the unit may be writing, whom to ask, how to go on', async () => {
    const path = join(at.folder, 'stop.jsonl');
    writeFileSync(path, asText([...cutAt('look').until, ...breakOff]));
    const { stdout } = await at.run('visit', serial, '--answers', path, '--as', 'R. Quill');
    expect(stdout).toContain('The unit may be writing: do not cut the power, do not pull the card.');
    expect(stdout).toContain('+00 555 0190');
    expect(stdout).toContain(`slotproof visit ${serial}`);
    expect(stdout).toContain('main-switch open');
    expect(stdout).not.toMatch(/take it out|take-out|Turn the service key/);
  });

  test('on the way back: the order of the manifest', async () => {
    const { until } = cutAt('key-to-run');
    const { json } = await at.visit(serial, [...until, ...breakOff]);
    expect(json.stopped.mayBeWriting).toBe(false);
    expect(json.stopped.order.map((one: { id: string }) => one.id).slice(0, 5)).toEqual([
      'key-to-run',
      'version',
      'shut-hatch',
      'close-main',
      'start-inverter',
    ]);
    expect(json.stopped.positions).toContainEqual({
      name: 'key',
      state: 'service',
      orElse: 'run',
      ends: 'run',
    });
  });

  test('ended there: failed, with how everything was left', async () => {
    const { until } = cutAt('look');
    const { exit, json } = await at.visit(serial, [
      ...until,
      { stop: true },
      { ask: 'stopped', choice: 'failed' },
      { ask: 'left', left: 'locked-off' },
      { ask: 'cause', cause: 'safety' },
      { ask: 'case', number: null },
      { ask: 'told', name: null },
    ]);
    expect([exit, json.outcome, json.status, json.left]).toEqual([0, 'failed', 'failed', 'locked-off']);
    const entries = await at.entries();
    expect(entries.at(-1)).toMatchObject({
      kind: 'visit-ended',
      body: { by: 'stop', positions: { card: 'in' } },
    });
    // It is over: the next visit is a new one, from the beginning.
    const { json: next } = await at.visit(serial, [{ ask: 'cautions', read: true }]);
    expect(next.error).toMatchObject({
      code: 'answer-missing',
      expected: expect.stringContaining('"ask":"card"'),
    });
  });

  test('while it may be writing it cannot be deferred', async () => {
    const { json } = await at.visit(serial, [
      ...cutAt('look').until,
      { stop: true },
      { ask: 'stopped', choice: 'deferred' },
    ]);
    expect(json.error.code).toBe('answer-refused');
  });

  test('a step that cannot be done; what is unsure is asked before the end', async () => {
    const { until } = cutAt('open-main');
    const { json } = await at.visit(serial, [
      ...until,
      { step: 'open-main', cannot: true },
      { ask: 'stopped', choice: 'deferred' },
      { ask: 'positions', positions: { 'main-switch': 'closed' } },
      { ask: 'left', left: 'off' },
      { ask: 'reason', reason: 'unsafe' },
      { ask: 'told', name: 'M. Alder' },
    ]);
    expect([json.outcome, json.left]).toEqual(['deferred', 'off']);
    expect((await at.entries()).at(-1)).toMatchObject({
      body: { positions: { inverter: 'stopped', 'main-switch': 'closed' } },
    });
  });

  test('going on is going on', async () => {
    const { until, from } = cutAt('shut-hatch');
    const { json } = await at.visit(serial, [
      ...until,
      { stop: true, at: until.at(-1)!.at },
      { ask: 'stopped', choice: 'go-on', at: until.at(-1)!.at },
      ...from,
    ]);
    expect([json.outcome, json.path]).toEqual(['updated', updated.path]);
  });
});

describe('a visit that broke off', () => {
  const during = { inverter: 'stopped', 'main-switch': 'open', key: 'service', hatch: 'open', card: 'in' };

  test('goes on after identity, positions and the dead test; one visit, every step once', async () => {
    const { until, from } = cutAt('look');
    await at.visit(serial, [...until, ...breakOff]);
    // The watch runs on: the answers come after its time unless they say when the lights were seen.
    const resumed = await at.visit(serial, [
      ...anew(during, dead).map((line) => ({ ...line, at: until.at(-1)!.at })),
      ...from,
    ]);
    expect(resumed.json.error).toBeUndefined();
    expect([resumed.exit, resumed.json.outcome, resumed.json.path]).toEqual([0, 'updated', updated.path]);
    const entries = await at.entries();
    expect(entries.filter(({ kind }) => kind === 'visit-begun')).toHaveLength(1);
    const steps = entries.filter((entry) => entry.kind === 'step-done');
    expect(steps.filter(({ body }) => body.part === 'procedure').map(({ body }) => body.step)).toEqual(
      updated.path.slice(0, -1),
    );
    expect(
      steps.filter(({ body }) => body.part === 'resume').map(({ body }) => `${body.step}:${body.result}`),
    ).toEqual(['cautions:read', 'plate:this-unit', 'positions:as-recorded', 'prove-dead:passes']);
    expect((await at.run('record', 'check', '--json')).json.verdict).toBe('intact');
  });

  test('the time of a watch runs on while it is broken off', async () => {
    const { until } = cutAt('look');
    await at.visit(serial, [...until, ...breakOff]);
    const { json } = await at.visit(serial, [...anew(during, dead), { step: 'look', lights: 'complete' }]);
    expect(json.error).toMatchObject({
      code: 'answer-refused',
      summary: expect.stringContaining('time was up'),
    });
  });

  test('a wait begins anew', async () => {
    const { until } = cutAt('discharge');
    await at.visit(serial, [...until, ...breakOff]);
    const isolated = { ...during, key: 'run', hatch: 'shut', card: 'out' };
    const { json } = await at.visit(serial, [
      ...anew(isolated),
      { step: 'discharge', plateMinutes: null, done: true },
    ]);
    expect(json.error).toMatchObject({
      code: 'answer-refused',
      summary: expect.stringContaining('Not before'),
    });
  });

  test.each<[string, Line, string]>([
    ['another unit', { ask: 'plate', lastFour: '0834', revision: 'B' }, 'NOT the unit'],
    ['fewer positions than all', { ask: 'positions', positions: { card: 'in' } }, 'lacks inverter'],
    ['live', { ...dead, readings: [0, 412, 0] }, 'stopped'],
    ['things elsewhere', { ask: 'positions', positions: { ...during, card: 'out' } }, 'stopped'],
  ])('does not go on: %s', async (_name, wrong, why) => {
    await at.visit(serial, [...cutAt('look').until, ...breakOff]);
    const lines = anew(during, dead).map((line) => (line.ask === wrong.ask ? wrong : line));
    const until = lines.slice(0, lines.indexOf(wrong) + 1);
    const { json } = await at.visit(serial, why === 'stopped' ? [...until, ...breakOff.slice(1)] : until);
    if (why === 'stopped') {
      expect(json.stopped).toMatchObject({ order: null });
      expect(['not-dead', 'positions-differ']).toContain(json.stopped.why);
    } else expect(json.error.summary).toContain(why);
    expect((await at.entries()).some(({ kind }) => kind === 'outcome')).toBe(false);
  });

  test('goes on with its own release, whatever else has come since; another one is refused', async () => {
    await at.visit(serial, [...cutAt('look').until, ...breakOff]);
    const { json } = await at.visit(serial, [], '--release', '2.5.0');
    expect(json.error.code).toBe('visit-open');
  });

  test('before the procedure has begun it is no open visit', async () => {
    const lines = timed(updated.lines, visitStartMs());
    await at.visit(serial, [...lines.slice(0, 4), ...breakOff]);
    const { json } = await at.visit(serial, timed(updated.lines, visitStartMs()));
    expect([json.outcome, json.path]).toEqual(['updated', updated.path]);
  });

  test('its manifest is gone: how everything stands is told all the same', async () => {
    await at.visit(serial, [...cutAt('look').until, ...breakOff]);
    rmSync(join(at.workspace, 'manifests/tarnholt/hearth-90.yaml'));
    const { exit, json } = await at.visit(serial, []);
    expect([exit, json.error.code]).toEqual([2, 'visit-manifest-missing']);
    expect(json.error.seen).toContain('card in');
  });

  test('is over once an outcome was logged without it', async () => {
    await at.visit(serial, [...cutAt('look').until, ...breakOff]);
    await at.run('log', serial, 'failed', '--left', 'locked-off', '--as', 'R. Quill');
    const { json } = await at.visit(serial, [{ ask: 'cautions', read: true }]);
    expect(json.error.expected).toContain('"ask":"card"');
  });

  test('another procedure in the manifest: no going on, the positions as known', async () => {
    await at.visit(serial, [...cutAt('look').until, ...breakOff]);
    changeManifest('within: 35min', 'within: 45min');
    const { json } = await at.visit(serial, [{ ask: 'stopped', choice: 'break-off' }]);
    expect(json.stopped).toMatchObject({ why: 'manifest-changed', order: null, mayBeWriting: true });
    expect(json.stopped.positions).toContainEqual({ name: 'card', state: 'in', orElse: null, ends: 'out' });
  });
});

describe('before anything is touched', () => {
  const until = (name: string): Line[] => {
    const lines = hearth.before();
    return lines.slice(
      0,
      lines.findIndex((line) => line.ask === name),
    );
  };
  const outcomeOf = async () => (await at.entries()).find(({ kind }) => kind === 'outcome')?.body;

  test('it has the version already', async () => {
    const { exit, json } = await at.visit(serial, [
      ...until('version-before'),
      { ask: 'version-before', version: '2.6' },
    ]);
    expect([exit, json.outcome, json.evidence, json.path, json.status]).toEqual([
      0,
      'already-current',
      'read',
      [],
      'current',
    ]);
    expect(await outcomeOf()).toMatchObject({ versionRead: '2.6', release: key });
  });

  test('another version than the register has: this release is not its next', async () => {
    const { json } = await at.visit(serial, [
      ...until('version-before'),
      { ask: 'version-before', version: '2.2.4' },
    ]);
    expect([json.outcome, json.path]).toEqual(['deferred', []]);
    expect(await outcomeOf()).toMatchObject({ reason: 'other', note: expect.stringContaining('2.5.0') });
    const { json: unit } = await at.run('units', 'show', serial, '--json');
    expect(JSON.stringify(unit)).toContain('"2.2.4"');
  });

  test('another revision than registered, seen twice', async () => {
    const other: Line = { ask: 'plate', lastFour: serial.slice(-4), revision: 'C' };
    const { json } = await at.visit(serial, [...until('plate'), other, other]);
    expect(json.outcome).toBe('deferred');
    expect(await outcomeOf()).toMatchObject({ reason: 'wrong-hardware' });
  });

  test('no version, and the lead says no', async () => {
    const { json } = await at.visit(serial, [
      ...until('version-before'),
      { ask: 'version-before', unreadable: true },
      { ask: 'lead', goOn: false, name: 'O. Fenwright' },
    ]);
    expect(json.outcome).toBe('deferred');
  });

  test('something stands otherwise', async () => {
    const { exit, json } = await at.visit(serial, [
      ...until('starts'),
      { ask: 'starts', asSaid: false },
      ...breakOff.slice(1),
    ]);
    expect([exit, json.stopped.why, json.stopped.untouched, json.stopped.order]).toEqual([
      130,
      'starts-otherwise',
      true,
      null,
    ]);
  });

  test('a card that is not known to be ready is not taken; another one is', async () => {
    await at.card('C-8', 'hearth-90@2.5.0');
    await at.card('C-9', key, 'not-ready');
    const lines = hearth.before();
    const cards: Line[] = [
      { ask: 'card', card: 'C-8' },
      { ask: 'card', card: 'C-9' },
      { ask: 'card', card: 'C-10' },
    ];
    const { json } = await at.visit(serial, [lines[0]!, ...cards]);
    expect(json.error).toMatchObject({
      code: 'answer-missing',
      summary: expect.stringContaining('does not know it'),
    });
    const { json: taken } = await at.visit(serial, [lines[0]!, ...cards, lines[1]!]);
    expect(taken.error.expected).toContain('"ask":"plate"');
  });

  test('a card that units of this kind change serves one unit', async () => {
    const kerb = scriptFor(walkCases[2]!);
    const way = kerb.ways().find(({ kind }) => kind === 'updated')!;
    await at.card('K-1', 'kerb-22@126');
    const lines = way.lines.map((line) => (line.ask === 'card' ? { ...line, card: 'K-1' } : line));
    expect((await at.visit(kerb.case.serial, timed(lines, visitStartMs()))).json.outcome).toBe('updated');
    const other = await at.run(
      'units',
      'add',
      'TKR240003091379',
      '--product',
      'kerb-22',
      '--site',
      'Mill Acre',
      '--version',
      '121',
      '--as',
      'R. Quill',
      '--json',
    );
    expect(other.json.error).toBeUndefined();
    const { json } = await at.visit('TKR240003091379', lines.slice(0, 2));
    expect(json.error.summary).toContain('been in a unit since');
  });
});

describe('a card that can be read', () => {
  const roots: string[] = [];
  afterEach(() => {
    for (const root of roots.splice(0)) rmSync(root, { recursive: true, force: true });
  });

  test('is read: ready now counts, and so does a byte that is wrong', async () => {
    const workspace = pumpWorkspace();
    roots.push(workspace);
    const run = (...args: string[]) => runCli(args, { workspace });
    const image = join(workspace, 'RILL40.FWU');
    const card = join(workspace, 'tonight.img');
    writeFileSync(image, pumpImage);
    const unit = 'TRB00000018';
    const added = await run(
      'units',
      'add',
      unit,
      '--site',
      'Alder Farm',
      '--version',
      '4.1.0',
      '--as',
      'R. Quill',
      '--json',
    );
    expect(added.json.error).toBeUndefined();
    const prepared = await run(
      'prepare',
      card,
      '--for',
      'rill-40@4.2.0',
      '--from',
      image,
      '--fresh',
      '--size',
      '64MB',
      '--confirm',
      card,
      '--as',
      'R. Quill',
      '--json',
    );
    expect(prepared.json.verdict).toBe('ready');
    const answers = join(workspace, 'walk.jsonl');
    const walk = async (...lines: Line[]) => {
      writeFileSync(answers, asText([{ ask: 'cautions', read: true }, ...lines]));
      return await run('visit', unit, '--answers', answers, '--as', 'R. Quill', '--json');
    };
    const plate = expect.stringContaining('"ask":"plate"');
    expect((await walk({ ask: 'card', card: 'tonight.img', path: card })).json.error.expected).toEqual(plate);
    expect((await walk({ ask: 'card', card: 'never prepared', path: card })).json.error.expected).toEqual(
      plate,
    );
    expect((await walk({ ask: 'card', card: 'tonight.img' })).json.error.expected).toEqual(plate);
    const where = readFileSync(card).indexOf(Buffer.from(pumpImage.slice(0, 64)));
    const file = openSync(card, 'r+');
    writeSync(file, new Uint8Array([pumpImage[100]! ^ 1]), 0, 1, where + 100);
    closeSync(file);
    const damaged = await walk({ ask: 'card', card: 'tonight.img', path: card });
    expect(damaged.json.error.summary).toContain('not known to be ready');
    const gone = await walk({ ask: 'card', card: 'another', path: join(workspace, 'gone.img') });
    expect(gone.json.error.summary).toContain('not known to be ready');
  });
});

describe('what must not be begun', () => {
  test('without a terminal and without answers', async () => {
    const { exit, json } = await at.run('visit', serial, '--as', 'R. Quill', '--json');
    expect([exit, json.error.code, json.error.expected]).toEqual([2, 'answer-missing', '--answers FILE']);
    expect((await at.run('visit', serial, '--no-input')).stderr).toContain('--answers');
  });

  test('nobody is named', async () => {
    writeFileSync(join(at.folder, 'a.jsonl'), '');
    const { exit, json } = await at.run('visit', serial, '--answers', join(at.folder, 'a.jsonl'), '--json');
    expect([exit, json.error.expected]).toEqual([2, '--as NAME']);
  });

  test.each<[string, string[], number, string]>([
    ['a serial that is not registered', ['TB8120000834'], 2, 'unit-unknown'],
    ['a release that is not known', [serial, '--release', '9.9.9'], 2, 'unknown-release'],
    ['a release of another product', [serial, '--release', 'kerb-22@126'], 2, 'other-product'],
  ])('%s', async (_name, [unit, ...args], exit, code) => {
    const done = await at.visit(unit!, [], ...args);
    expect([done.exit, done.json.error.code]).toEqual([exit, code]);
  });

  test.each<[string, string, string, string]>([
    ['a release that is withdrawn', serial, '2.5.3', 'withdrawn'],
    ['one that is not the next on its path', serial, '2.2.4', 'not-next'],
  ])('%s', async (_name, unit, release, code) => {
    await at.run('log', unit, 'already-current', '--version-read', '2.5.0', '--as', 'R. Quill');
    const { exit, json } = await at.visit(unit, [], '--release', release);
    expect([exit, json.outcome, json.entry]).toEqual([3, null, null]);
    expect(json.findings.map((one: { code: string }) => one.code)).toContain(code);
  });

  test('a unit that needs nothing', async () => {
    await at.run('log', serial, 'already-current', '--version-read', '2.6.0', '--as', 'R. Quill');
    const { exit, json } = await at.visit(serial, []);
    expect([exit, json.error.code]).toEqual([2, 'nothing-to-install']);
  });

  test('a release that the halt rule stopped, unless somebody says why', async () => {
    const rows: string[] = [];
    for (const last of ['0834', '1170', '1642', '2020'])
      rows.push(`TB812000${last},Alder Farm,hearth-90,B,2.5.0`);
    writeFileSync(join(at.folder, 'more.csv'), `serial,site,product,hardware,version\n${rows.join('\n')}\n`);
    expect((await at.run('units', 'import', join(at.folder, 'more.csv'), '--as', 'R. Quill')).exit).toBe(0);
    for (const row of rows) {
      const failed = await at.run(
        'log',
        row.split(',')[0]!,
        'failed',
        '--release',
        key,
        '--cause',
        'release',
        '--lights',
        'broken-off',
        '--left',
        'off',
        '--as',
        'R. Quill',
        '--json',
      );
      expect(failed.json.error).toBeUndefined();
    }
    const { exit, json } = await at.visit(serial, []);
    expect([exit, json.error.code]).toEqual([5, 'release-halted']);
    const on = await at.visit(
      serial,
      timed(updated.lines, visitStartMs()),
      '--despite-halt',
      'The maker says so',
    );
    expect(on.json.outcome).toBe('updated');
    expect((await at.entries()).findLast(({ kind }) => kind === 'outcome')?.body).toMatchObject({
      note: 'Despite the halt: The maker says so',
    });
  });

  test('a procedure with a gap', async () => {
    changeManifest('key: run, inverter: stopped', 'key: service, inverter: stopped');
    const { exit, json } = await at.visit(serial, []);
    expect([exit, json.error.code]).toEqual([2, 'manifest-unsound']);
  });
});

test('a record that cannot be written stops the walk before its next question', async () => {
  const host = {
    stdin: {},
    stdout: { write: () => {} },
    stderr: { write: () => {} },
    env: {},
    clock: testClock,
    onInterrupt: () => () => {},
  };
  const { context, close } = compose(host, {
    workspace: at.workspace,
    json: true,
    input: false,
    color: false,
    as: 'R. Quill',
  });
  const { Failure } = await import('../../src/words/failure.ts');
  const { run } = await import('../../src/commands/visit.ts');
  const path = join(at.folder, 'broken.jsonl');
  writeFileSync(path, asText(timed(updated.lines, visitStartMs())));
  let appended = 0;
  const store = await context.record('write');
  const failing = {
    laptop: store.laptop,
    unit: (one: string) => store.unit(one),
    entries: (query: never) => store.entries(query),
    async append(drafts: never) {
      appended += 1;
      if (appended <= 6) return await store.append(drafts);
      throw new Failure({ code: 'record-full', exit: 7, summary: 'The disk is full.', next: 'Free some.' });
    },
  };
  const broken = Object.create(context, { record: { value: async () => failing } });
  await expect(run(broken, [serial], { answers: path })).rejects.toMatchObject({
    facts: { code: 'record-full' },
  });
  expect(appended).toBe(7);
  close();
});
