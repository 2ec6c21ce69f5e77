import { expect, test } from 'vitest';
import type { Files } from '../../../src/ports/files.ts';
import {
  decodeSheetFacts,
  encodeSheetFacts,
  requireSheetFacts,
  sheetFacts,
} from '../../../src/sheet/sheet-facts.ts';
import { failureOf } from '../../support/failure-of.ts';
import { unitOf, viewOf } from './sheet-fixture.ts';

const madeAt = '2026-10-03T18:05:00.000+02:00';
const mark = { laptop: 'k3v9q2', seq: 214, hash: 'ab'.repeat(32) };

function filesWith(entries: Record<string, string>): Files {
  return {
    absolute: (path: string) => path,
    facts: (path: string) =>
      path in entries ? { kind: 'file', sizeBytes: entries[path]!.length, modifiedMs: 0 } : undefined,
    readText: (path: string) => entries[path],
  } as unknown as Files;
}

test('what is kept of a sheet: the rows in their order, the numbers of the steps, the mark', () => {
  const view = viewOf({
    units: [unitOf('TRC20004411', { hardware: null }), unitOf('TRB12345674')],
    mark,
    dayEnds: 990,
  });
  const facts = sheetFacts(view, madeAt);
  expect(facts).toMatchObject({
    format: 1,
    sheet: 'K7MD-29XH',
    release: 'rill-40@4.2.0',
    product: 'rill-40',
    revision: 3,
    language: 'en',
    madeAt,
    madeBy: 'Wren',
    dayEnds: '16:30',
    units: [
      { serial: 'TRC20004411', hardware: null },
      { serial: 'TRB12345674', hardware: 'B' },
    ],
    mark,
  });
  expect(facts.steps[0]).toEqual({ number: 4, id: 'stop' });
  expect(facts.steps).toHaveLength(25);
  expect(decodeSheetFacts(encodeSheetFacts(facts), 'x.json')).toEqual(facts);
});

test('a sheet for a serial written by hand has no units', () => {
  expect(sheetFacts(viewOf({ units: [] }), madeAt).units).toEqual([]);
});

test('found again by its number, as people type it', () => {
  // A number of our own making: 2C3D-F457 has a good check character.
  const facts = { ...sheetFacts(viewOf({ number: '2C3D-F457' }), madeAt) };
  const files = filesWith({ 'sheets/2C3D-F457.json': encodeSheetFacts(facts) });
  expect(requireSheetFacts(files, 'sheets', '2c3d f457')).toEqual(facts);
  expect(failureOf(() => requireSheetFacts(files, 'sheets', '2C3D-F458'))).toMatchObject({
    code: 'sheet-number-mistyped',
    exit: 2,
  });
  expect(failureOf(() => requireSheetFacts(files, 'sheets', '../../etc/passwd'))).toMatchObject({
    code: 'sheet-number-mistyped',
  });
  expect(failureOf(() => requireSheetFacts(filesWith({}), 'sheets', '2C3D-F457'))).toMatchObject({
    code: 'sheet-unknown',
    exit: 2,
  });
});

test.each(['', 'null', '{', '[]', '{"format":2}', '{"format":1}'])('damaged: %s', (text) => {
  expect(failureOf(() => decodeSheetFacts(text, 'x.json'))).toMatchObject({
    code: 'sheet-unreadable',
    exit: 2,
    where: 'x.json',
  });
});
