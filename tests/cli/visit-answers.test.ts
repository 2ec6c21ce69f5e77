// Answers that do not fit: each is one clear error with its line, and what was logged until then stays.

import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type VisitWorkspace, visitStartMs, visitWorkspace } from '../support/visit-workspace.ts';
import { type Line, scriptFor, timed, walkCases } from '../support/walk-script.ts';

const hearth = scriptFor(walkCases[0]!);
const { serial } = hearth.case;
const updated = hearth.ways().find(({ end }) => end === 'done')!;

let at: VisitWorkspace;
beforeEach(async () => {
  at = await visitWorkspace([walkCases[0]!]);
  await at.card('C-7', 'hearth-90@2.6.0');
});
afterEach(() => at.remove());

/** The lines of the way to `done`, one of them changed or more put in its place. */
function changed(find: (line: Line) => boolean, ...instead: Line[]): { lines: Line[]; index: number } {
  const lines = timed(updated.lines, visitStartMs());
  const index = lines.findIndex(find);
  const time = lines[index]!.at;
  return { lines: lines.toSpliced(index, 1, ...instead.map((line) => ({ at: time, ...line }))), index };
}
const step = (id: string) => (line: Line) => line.step === id;
const ask = (name: string) => (line: Line) => line.ask === name;

const cases: [string, (line: Line) => boolean, Line[], string, string | RegExp][] = [
  [
    'a field too many',
    step('stop-inverter'),
    [{ step: 'stop-inverter', done: true, note: 'x' }],
    'answer-form',
    'note',
  ],
  ['a field too few', step('stop-inverter'), [{ step: 'stop-inverter' }], 'answer-form', 'lacks done'],
  ['done: false', step('stop-inverter'), [{ step: 'stop-inverter', done: false }], 'answer-form', 'done'],
  ['another step', step('open-main'), [{ step: 'discharge', done: true }], 'answer-misplaced', 'open-main'],
  [
    'a step as a question',
    step('open-main'),
    [{ ask: 'open-main', done: true }],
    'answer-misplaced',
    'open-main',
  ],
  ['neither step nor question', step('open-main'), [{ done: true }], 'answer-misplaced', 'open-main'],
  [
    'plate minutes left out',
    step('discharge'),
    [{ step: 'discharge', done: true }],
    'answer-form',
    'plateMinutes',
  ],
  [
    'plate minutes that are none',
    step('discharge'),
    [{ step: 'discharge', plateMinutes: 'ten', done: true }],
    'answer-refused',
    'Minutes',
  ],
  [
    'a wait cut short by the plate',
    step('discharge'),
    [{ step: 'discharge', plateMinutes: 600, done: true }],
    'answer-refused',
    'Not before',
  ],
  [
    'one reading too few',
    step('prove-dead'),
    [{ step: 'prove-dead', meterBefore: true, readings: [0, 0], meterAfter: true }],
    'answer-form',
    'readings',
  ],
  [
    'a reading with its unit',
    step('prove-dead'),
    [{ step: 'prove-dead', meterBefore: true, readings: [0, '4 V', 0], meterAfter: true }],
    'answer-refused',
    'A number',
  ],
  [
    'a reading of two meanings',
    step('prove-dead'),
    [{ step: 'prove-dead', meterBefore: true, readings: [0, '1,234', 0], meterAfter: true }],
    'answer-refused',
    'more than a thousand',
  ],
  [
    'no word of the meter',
    step('prove-dead'),
    [{ step: 'prove-dead', readings: [0, 0, 0] }],
    'answer-form',
    'meterBefore',
  ],
  [
    'a pattern that is not listed',
    step('look'),
    [{ step: 'look', lights: 'awake' }],
    'answer-refused',
    'not on this step',
  ],
  ['late, and it is not', step('look'), [{ step: 'look', late: true }], 'answer-refused', 'not up before'],
  [
    'a version of another form',
    step('version'),
    [{ step: 'version', version: 'new' }],
    'answer-refused',
    'no version',
  ],
  [
    'fewer signs than there are',
    step('serving'),
    [{ step: 'serving', serves: [true] }],
    'answer-form',
    'serves',
  ],
  [
    'a setting left out',
    ask('settings'),
    [{ ask: 'settings', values: { 'inverter address': '7' } }],
    'answer-form',
    'charge limit',
  ],
  [
    'a setting too many',
    ask('settings'),
    [
      {
        ask: 'settings',
        values: { 'inverter address': '7', 'charge limit': '1', 'reserve for backup': '2', colour: 'red' },
      },
    ],
    'answer-form',
    'colour',
  ],
  [
    'a setting without a value',
    ask('settings'),
    [
      {
        ask: 'settings',
        values: { 'inverter address': '7', 'charge limit': ' ', 'reserve for backup': '2' },
      },
    ],
    'answer-refused',
    'written',
  ],
  [
    'three characters of the plate',
    ask('plate'),
    [{ ask: 'plate', lastFour: '586', revision: 'B' }],
    'answer-refused',
    'Four characters',
  ],
  [
    'a revision that there is not',
    ask('plate'),
    [{ ask: 'plate', lastFour: '0586', revision: 'Z' }],
    'answer-refused',
    'A, B, C',
  ],
  ['another way of being left', ask('left'), [{ ask: 'left', left: 'fine' }], 'answer-form', 'left'],
  [
    'a time before the one before',
    step('open-main'),
    [{ step: 'open-main', done: true, at: '2020-01-01T10:00' }],
    'answer-refused',
    'before the answer',
  ],
  [
    'a time in the future',
    step('open-main'),
    [{ step: 'open-main', done: true, at: '2199-01-01T10:00' }],
    'time-future',
    'future',
  ],
  [
    'a time that is none',
    step('open-main'),
    [{ step: 'open-main', done: true, at: 'noon' }],
    'time-form',
    'no time',
  ],
  [
    'going on without a stop',
    step('open-main'),
    [{ ask: 'stopped', choice: 'go-on' }],
    'answer-misplaced',
    'open-main',
  ],
  ['a stop with more', step('open-main'), [{ stop: true, step: 'open-main' }], 'answer-form', 'step'],
];

/** What stands on record of one answer that was taken. */
function keptNames(line: Line): string[] {
  if (line.ask === 'restored') return Object.keys(line.values as object).map(() => 'restore');
  // To go on watching is no step.
  if (line.lights === 'receiving') return [];
  return [String(line.step ?? line.ask)];
}

describe('an answer that does not fit', () => {
  test.each(cases)('%s', async (_name, find, instead, code, says) => {
    const { lines, index } = changed(find, ...instead);
    const { exit, json } = await at.visit(serial, lines);
    expect(exit).toBe(2);
    expect(json.error.code).toBe(code);
    expect(JSON.stringify([json.error.summary, json.error.seen, json.error.expected])).toMatch(
      typeof says === 'string' ? new RegExp(says.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')) : says,
    );
    expect(json.error.where).toMatch(new RegExp(`:${index + 1}$`));
    // All before it is kept, nothing of it or after it, and no outcome.
    const entries = await at.entries();
    const kept = entries.filter((entry) => entry.kind === 'step-done').map(({ body }) => body.step);
    expect(kept).toEqual(lines.slice(0, index).flatMap(keptNames));
    expect(entries.some(({ kind }) => kind === 'outcome')).toBe(false);
    expect((await at.run('record', 'check', '--json')).json.verdict).toBe('intact');
  });
});

test('answers that are left over: the visit is logged, and the error says so', async () => {
  const lines = timed(updated.lines, visitStartMs());
  const { exit, json } = await at.visit(serial, [...lines, { ask: 'told', name: 'once more' }, {}]);
  expect([exit, json.error.code]).toEqual([2, 'answers-left-over']);
  expect(json.error.summary).toContain('2 answers are left over');
  expect(json.error.where).toMatch(new RegExp(`:${lines.length + 1}$`));
  expect((await at.entries()).some(({ kind }) => kind === 'outcome')).toBe(true);
});

test('answers that end too early name the question and how to answer it', async () => {
  const lines = timed(updated.lines, visitStartMs());
  for (const name of ['prove-dead', 'look', 'version', 'serving']) {
    const { json } = await at.visit(serial, lines.slice(0, lines.findIndex(step(name))));
    expect(json.error.code).toBe('answer-missing');
    const example = JSON.parse(json.error.expected);
    expect(example.step).toBe(name);
    // It stays open; a new workspace for the next.
    at.remove();
    at = await visitWorkspace([walkCases[0]!]);
    await at.card('C-7', 'hearth-90@2.6.0');
  }
});

test.each([
  ['no JSON', '{"ask":"cautions","read":true}\nyes\n', 2],
  ['a list', '[]\n', 1],
  ['a number', '\n\n7\n', 3],
  ['a text', '"done"', 1],
  ['a zero byte', '{"ask":"cautions","read":true}\u0000\n', 1],
])('a file that is not of this form: %s', async (_name, content, line) => {
  const path = join(at.folder, 'bad.jsonl');
  writeFileSync(path, content);
  const { exit, json } = await at.run('visit', serial, '--answers', path, '--as', 'R. Quill', '--json');
  expect([exit, json.error.code, json.error.where]).toEqual([2, 'answer-form', `${path}:${line}`]);
  expect(await at.run('units', 'show', serial, '--json')).toMatchObject({ exit: 0 });
});

test('a file that is absent, or a folder', async () => {
  for (const path of [join(at.folder, 'gone.jsonl'), at.folder]) {
    const { exit } = await at.run('visit', serial, '--answers', path, '--as', 'R. Quill', '--json');
    expect(exit).toBe(2);
  }
});

test('blank lines, a byte order mark and Windows line ends are nothing', async () => {
  const path = join(at.folder, 'windows.jsonl');
  const lines = timed(updated.lines, visitStartMs()).map((line) => JSON.stringify(line));
  writeFileSync(path, `\ufeff${lines.join('\r\n\r\n')}\r\n`);
  const { json } = await at.run('visit', serial, '--answers', path, '--as', 'R. Quill', '--json');
  expect(json.outcome).toBe('updated');
});

test('control characters in an answer never reach the terminal', async () => {
  const lines = timed(updated.lines, visitStartMs()).map((line) =>
    line.ask === 'plate' ? { ...line, lastFour: '\u001b[2J' } : line,
  );
  const { stdout, stderr } = await at.visit(serial, lines);
  expect(stdout + stderr).not.toContain('\u001b');
});

test('what is heard and has to be said again: another plate, another version, a bad meter', async () => {
  const dead = { step: 'prove-dead', meterBefore: true, readings: [0, 0, 0] };
  const lines = timed(updated.lines, visitStartMs()).flatMap((line): Line[] => {
    if (line.ask === 'plate') return [{ ...line, lastFour: '0834' }, line];
    if (line.step === 'prove-dead') return [{ at: line.at, ...dead, meterAfter: false }, { ...line }];
    if (line.step === 'version') return [{ ...line, version: '2.5.9' }, line];
    return [line];
  });
  const { json } = await at.visit(serial, lines);
  expect([json.outcome, json.path]).toEqual(['updated', updated.path]);
  const steps = (await at.entries()).filter((entry) => entry.kind === 'step-done');
  expect(steps.filter(({ body }) => body.step === 'prove-dead')).toHaveLength(1);
});
