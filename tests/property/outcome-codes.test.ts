// Outcomes of any kind, encoded and read back in all three forms, and never believed under another key.

import fc from 'fast-check';
import { expect, test } from 'vitest';
import { encodeOutcomeCode } from '../../src/sheet/outcome/outcome-code.ts';
import { encodeOutcomeFile } from '../../src/sheet/outcome/outcome-file.ts';
import { encodeOutcomeQr } from '../../src/sheet/outcome/outcome-qr.ts';
import { readOutcomeCode, readOutcomeFile, readOutcomeQr } from '../../src/sheet/outcome/read-outcome.ts';
import { checkSeeded } from '../support/seeded.ts';
import { byHand, sheetOf, someOutcome, someReport } from '../unit/sheet/outcome/outcome-fixture.ts';

const file = 'tests/property/outcome-codes.test.ts';
const sheets = fc
  .tuple(fc.boolean(), fc.uint8Array({ minLength: 32, maxLength: 32 }))
  .map(([hand, bytes]) => (hand ? byHand : sheetOf)({ key: Buffer.from(bytes).toString('hex') }));

test('a code gives the outcome that was put in, and another key refuses it', async () => {
  await checkSeeded(
    file,
    300,
    fc.property(
      sheets.chain((sheet) => fc.tuple(fc.constant(sheet), someOutcome(sheet))),
      ([sheet, outcome]) => {
        const code = encodeOutcomeCode(outcome, sheet);
        expect(code).toMatch(/^([2-9A-Z]{4}-)+[2-9A-Z]{4}$/);
        expect(readOutcomeCode(code!, sheet)).toEqual({ kind: 'outcome', outcome });
        const other = { ...sheet, key: sheet.key.replace(/^./, (digit) => (digit === '0' ? '1' : '0')) };
        expect(readOutcomeCode(code!, other)).toEqual({ kind: 'refused', reason: 'forged' });
      },
    ),
  );
});

test('file and QR code give the outcome that was put in, whatever its texts', async () => {
  await checkSeeded(
    file,
    150,
    fc.property(
      sheets.chain((sheet) => fc.tuple(fc.constant(sheet), someReport(sheet))),
      ([sheet, outcome]) => {
        expect(readOutcomeFile(encodeOutcomeFile(outcome, sheet), sheet)).toEqual({
          kind: 'outcome',
          outcome,
        });
        const qr = encodeOutcomeQr(outcome, sheet);
        if (qr !== undefined) expect(readOutcomeQr(qr, sheet)).toEqual({ kind: 'outcome', outcome });
        const other = { ...sheet, key: '00'.repeat(32) };
        expect(readOutcomeFile(encodeOutcomeFile(outcome, sheet), other)).toMatchObject({ reason: 'forged' });
      },
    ),
  );
});

test('whatever is typed, reading ends with an outcome or a reason', async () => {
  await checkSeeded(
    file,
    500,
    fc.property(fc.string({ maxLength: 80, unit: 'binary' }), (text) => {
      for (const read of [readOutcomeCode, readOutcomeFile, readOutcomeQr]) {
        expect(read(text, sheetOf()).kind).toBe('refused');
      }
    }),
  );
});
