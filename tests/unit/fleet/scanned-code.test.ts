// Codes as scanners type them, written out by hand from the GS1 General Specifications: element strings with and without
// separators, brackets, Digital Links, prefixes, keyboards of another layout. And at random: whatever is encoded is among
// the readings, and what a code can only mean is taken.

import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readScannedCode } from '../../../src/fleet/scanned-code.ts';
import { readSerial, type SerialRule } from '../../../src/fleet/serial.ts';

const gtin = '09521234543213';
const pump: SerialRule = {
  id: 'rill-40',
  hardware: ['A', 'B', 'C', 'D'],
  serial: { pattern: '^TR(?<hardware>[A-D])[0-9]{8}$', check: 'luhn', gtin },
};
/** Of any length, so that a code without separators can end its serial in several places. */
const loose: SerialRule = {
  id: 'keld-9',
  hardware: ['1'],
  serial: { pattern: '^K[0-9]{2,12}$', gtin: '09524140022018' },
};
const plain: SerialRule = { id: 'wold-3', hardware: ['1'], serial: { pattern: '^W[YZ][0-9]{4}$' } };
const rules = [pump, loose, plain];
const serial = 'TRB10000008';
const GS = '\u001d';

const read = (text: string) => {
  const reading = readSerial(text, rules);
  return reading.ok ? reading.serial : reading.code;
};

describe('a code with one serial', () => {
  test.each([
    ['GTIN and serial', `01${gtin}21${serial}`],
    ['with the line end of a scanner', `01${gtin}21${serial}\r\n`],
    ['with a Tab', `01${gtin}21${serial}\t`],
    ['GS1-128', `]C101${gtin}21${serial}`],
    ['Data Matrix', `]d201${gtin}21${serial}`],
    ['QR', `]Q301${gtin}21${serial}`],
    ['a date between', `01${gtin}1126100121${serial}`],
    ['a date behind, with a separator', `01${gtin}21${serial}${GS}11261001`],
    ['a date behind, without one', `01${gtin}21${serial}11261001`],
    ['a lot before, with a separator', `]d201${gtin}10LOT7${GS}21${serial}`],
    ['a lot before, without one', `01${gtin}10LOT721${serial}`],
    ['a leading separator', `${GS}01${gtin}21${serial}`],
    ['separators as a terminal shows them', `01${gtin}10LOT7^]21${serial}`],
    ['serial first', `]C121${serial}${GS}01${gtin}`],
    ['serial alone', `]C121${serial}`],
    ['brackets', `(01)${gtin}(21)${serial}`],
    ['brackets with a lot', `(01)${gtin}(10)A-1(21)${serial}`],
    ['a Digital Link', `https://id.example/01/${gtin}/21/${serial}`],
    [
      'a Digital Link with a path before and a query',
      `https://id.example/eq/01/${gtin}/10/L1/21/${serial}?11=261001`,
    ],
    ['a Digital Link with the serial in the query', `HTTPS://id.example/01/${gtin}?21=${serial}`],
    ['Caps Lock', `01${gtin}21${serial.toLowerCase()}`],
    ['the serial alone, as on the plate', serial],
  ])('%s', (_, text) => {
    expect(read(text)).toBe(serial);
  });

  test('a keyboard that changes Y and Z, only where nothing else fits', () => {
    expect(read(']C121WY1234')).toBe('WY1234');
    expect(read(']C121WZ1234')).toBe('WZ1234');
    const onlyY: SerialRule = { id: 'y-1', hardware: ['1'], serial: { pattern: '^WY[0-9]{4}$' } };
    const reading = readSerial(']C121WZ1234', [onlyY]);
    expect(reading.ok && reading.serial).toBe('WY1234');
    // What a person types is taken as it is typed.
    expect(readSerial('WZ1234', [onlyY]).ok).toBe(false);
  });
});

describe('a code that is refused', () => {
  test('where a character of the serial is wrong', () => {
    expect(read(`01${gtin}21TRB10000009`)).toBe('serial-check');
  });
  test('where it is of another product than the serial’s form says', () => {
    expect(read(`01${'09524140022018'}21${serial}`)).toBe('serial-form');
  });
  test('where no serial stands in it', () => {
    expect(read(`]C101${gtin}`)).toBe('serial-form');
    expect(read('https://id.example/01/x')).toBe('serial-form');
    expect(read('https://[')).toBe('serial-form');
    expect(read('https://id.example/01/%E0%A4%A/21/1')).toBe('serial-form');
  });
  test('where it can be read in several ways (the last as a lot or a date): all are named, none is taken', () => {
    const reading = readSerial(`01${'09524140022018'}21K12311261001`, rules);
    expect(reading).toMatchObject({
      ok: false,
      code: 'serial-ambiguous',
      choices: ['K12311261001', 'K1231126', 'K123'],
    });
    expect(read(`01${'09524140022018'}21K123${GS}11261001`)).toBe('K123');
  });
  test('what a spreadsheet made of a number is told as that', () => {
    const reading = readSerial('1.2E+11', rules);
    expect(reading.ok ? '' : reading.summary).toContain('what a spreadsheet makes of a long number');
  });
});

test('a serial of digits is not taken for a code: what fits as it stands wins', () => {
  const digits: SerialRule = { id: 'd-1', hardware: ['1'], serial: { pattern: '^[0-9]{20}$' } };
  const text = `01${gtin}2112`;
  const reading = readSerial(text, [digits, pump]);
  expect(reading.ok && reading.serial).toBe(text);
});

test('at random: with separators there is one reading; without them the right one is among a bounded number', () => {
  const value = fc.stringMatching(/^[A-Z0-9-]{1,20}$/);
  const lots = fc.option(value, { nil: undefined });
  fc.assert(
    fc.property(value, lots, fc.boolean(), (serial, lot, dated) => {
      const date = dated ? '11261001' : '';
      const marked = `]d201${gtin}${date}${lot === undefined ? '' : `10${lot}${GS}`}21${serial}`;
      expect(readScannedCode(marked)).toContainEqual({ gtin, serial });
      const bare = `01${gtin}${date}${lot === undefined ? '' : `10${lot}`}21${serial}`;
      const readings = readScannedCode(bare) ?? [];
      expect(readings).toContainEqual({ gtin, serial });
      expect(readings.length).toBeLessThanOrEqual(200);
    }),
  );
  // Not every one: such a code has more than one reading.
  expect(readScannedCode(`01${gtin}21A1126100110`)?.length).toBeGreaterThan(1);
});

test('hostile codes are read in bounded time', () => {
  for (const text of [
    `]C1${'10'.repeat(250)}`,
    `01${gtin}${'2110'.repeat(100)}`,
    `]C1${GS.repeat(500)}`,
    '('.repeat(500),
    `(21)${'('.repeat(400)}`,
  ]) {
    expect((readScannedCode(text) ?? []).length).toBeLessThanOrEqual(200);
  }
});
