// What is collected counts once, in whichever forms and on however many laptops it came in; nothing that a person
// logs is ever taken for a repetition, and no failure is lost behind one.

import { expect, test } from 'vitest';
import type { Collected, OutcomeLogged } from '../../../src/record/entry.ts';
import { repeatedOutcomes, statementId, statementIdOf } from '../../../src/record/repeated-outcomes.ts';

const said = (more: Partial<OutcomeLogged> = {}): OutcomeLogged => ({
  serial: 'A',
  outcome: 'updated',
  evidence: 'lights',
  lights: 'taken',
  sheet: 'K7MD-29XH',
  ...more,
});
const failed = said({ outcome: 'failed', left: 'off', lights: 'refused' });
/** As `collect` writes it. */
function as(form: Collected['form'], body: OutcomeLogged, at?: string): OutcomeLogged {
  return { ...body, collected: { form, id: statementId(body, form === 'code' ? undefined : at) } };
}
const repetitions = (...bodies: OutcomeLogged[]) => bodies.map(repeatedOutcomes());

test('the same file twice, and the same outcome as file, QR code and code, in any order', () => {
  const file = as('file', said(), 'ten');
  const qr = as('qr', said(), 'ten');
  const code = as('code', said());
  expect(repetitions(file, file)).toEqual([false, true]);
  for (const order of [
    [file, qr, code],
    [file, code, qr],
    [qr, file, code],
    [qr, code, file],
    [code, file, qr],
    [code, qr, file],
  ]) {
    expect(repetitions(...order)).toEqual([false, true, true]);
  }
});

test('the same said at another time is another outcome', () => {
  expect(repetitions(as('file', said(), 'ten'), as('file', said(), 'eleven'))).toEqual([false, false]);
});

test('another unit, another sheet, another outcome: each counts', () => {
  const code = as('code', said());
  for (const other of [
    said({ serial: 'B' }),
    said({ sheet: 'C4DF-23HJ' }),
    said({ lights: 'other' }),
    said({ left: 'off' }),
    said({ versionRead: '4.2.0' }),
    failed,
  ]) {
    expect(repetitions(code, as('code', other))).toEqual([false, false]);
  }
});

test('left running is what is meant where an updated unit says nothing', () => {
  expect(repetitions(as('code', said()), as('code', said({ left: 'running' })))).toEqual([false, true]);
});

test('what a person logs counts always; what is collected after it, of the same row, does not', () => {
  const paper = said();
  const plain = (({ sheet: _, ...rest }) => rest)(said()) as OutcomeLogged;
  expect(repetitions(paper, paper, plain, plain)).toEqual([false, false, false, false]);
  expect(repetitions(paper, as('file', said(), 'ten'), as('code', said()))).toEqual([false, true, true]);
  expect(repetitions(plain, as('code', said()))).toEqual([false, false]);
  expect(repetitions(as('code', said()), paper)).toEqual([false, false]);
});

test('what was taken as failed is compared as it was said', () => {
  const { left: _, ...rest } = said({ versionRead: '4.1.0' });
  const taken: OutcomeLogged = { ...rest, outcome: 'failed', said: 'updated' };
  expect(statementIdOf(taken)).toBe(statementId(said({ versionRead: '4.1.0' })));
});

test('a repeated failure counts again where something else was said in between', () => {
  const first = as('file', failed, 'ten');
  const then = as('file', said(), 'half past ten');
  const code = as('code', failed);
  expect(repetitions(first, code)).toEqual([false, true]);
  expect(repetitions(first, then, code)).toEqual([false, false, false]);
  // But a success that is said again never hides a failure.
  expect(repetitions(then, first, as('code', said()))).toEqual([false, false, true]);
  // And what is skipped is not in between.
  expect(repetitions(then, first, as('code', said()), code)).toEqual([false, false, true, true]);
});

test('the file that a unit left on its card: by its id', () => {
  const { sheet: _, ...unit } = said();
  const one: OutcomeLogged = { ...unit, collected: { form: 'result-file', id: 'a'.repeat(32) } };
  const other: OutcomeLogged = { ...unit, collected: { form: 'result-file', id: 'b'.repeat(32) } };
  expect(repetitions(one, other, one, other)).toEqual([false, false, true, true]);
});

test('an id is the same wherever it is made, and changes with every part', () => {
  expect(statementId(said(), '2026-11-24T10:00:00+01:00')).toMatch(/^[0-9a-f]{32}$/);
  const ids = [
    said(),
    said({ serial: 'B' }),
    said({ sheet: 'X' }),
    said({ outcome: 'failed' }),
    said({ versionRead: '1' }),
    said({ lights: 'x' }),
    said({ left: 'off' }),
    said({ reason: 'x' }),
    said({ cause: 'x' }),
  ].flatMap((one) => [statementId(one), statementId(one, 'ten')]);
  expect(new Set(ids).size).toBe(ids.length);
  expect(statementId(said({ by: 'x' } as never))).toBe(statementId(said()));
});
