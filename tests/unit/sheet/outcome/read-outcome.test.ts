// Outcomes as files and as QR codes: whole ones, changed ones, ones of other sheets and units, and rubbish.

import { describe, expect, test } from 'vitest';
import type { OutcomeSheet } from '../../../../src/sheet/outcome/outcome.ts';
import { encodeOutcomeFile, outcomeFileName } from '../../../../src/sheet/outcome/outcome-file.ts';
import { encodeOutcomeQr, longestQrText } from '../../../../src/sheet/outcome/outcome-qr.ts';
import { peekOutcome, readOutcomeFile, readOutcomeQr } from '../../../../src/sheet/outcome/read-outcome.ts';
import { hmac } from './code-judge.ts';
import { byHand, key, otherKey, sheetOf, updated } from './outcome-fixture.ts';

const steps = [
  {
    part: 'procedure' as const,
    step: 'prove-dead',
    result: 'passes',
    atMs: 1_795_000_000_000,
    positions: { card: 'out' },
    facts: { readings: [0.4, -1.2], unit: 'V DC', plateSeconds: null },
  },
];
const full = updated({
  note: 'Tür quietscht – „RUN“ 🔦',
  card: 'Card 7',
  versionBefore: '2.5.0',
  revision: 'B',
});
const fileOf = (sheet: OutcomeSheet = sheetOf()) =>
  encodeOutcomeFile({ ...full, steps, takenBack: 1 }, sheet);
const qrOf = (sheet: OutcomeSheet = sheetOf(), outcome = full) => encodeOutcomeQr(outcome, sheet)!;
const fileReason = (text: string, sheet = sheetOf(), serial?: string) => {
  const read = readOutcomeFile(text, sheet, serial);
  return read.kind === 'refused' ? read.reason : read.kind;
};
const qrReason = (text: string, sheet = sheetOf(), serial?: string) => {
  const read = readOutcomeQr(text, sheet, serial);
  return read.kind === 'refused' ? read.reason : read.kind;
};

describe('a file', () => {
  test('comes back whole, steps and all', () => {
    expect(readOutcomeFile(fileOf(), sheetOf())).toEqual({
      kind: 'outcome',
      outcome: { ...full, steps, takenBack: 1 },
    });
    expect(peekOutcome(fileOf())).toEqual({ form: 'file', sheet: 'K7MD-29XX' });
    expect(outcomeFileName(full)).toBe('K7MD-29XX_TB8120001234.json');
    expect(outcomeFileName({ sheet: 'K7MD-29XX', serial: '../a b' })).toBe('K7MD-29XX_..-a-b.json');
  });

  test('carries the check that node works out over names in order', () => {
    const { check, ...rest } = JSON.parse(encodeOutcomeFile(updated(), sheetOf()));
    const sorted = Object.fromEntries(Object.entries(rest).sort(([a], [b]) => (a < b ? -1 : 1)));
    expect(check).toBe(hmac(key, 'file', JSON.stringify(sorted)).toString('hex'));
  });

  test('laid out otherwise it still holds', () => {
    const content = JSON.parse(fileOf());
    const turned = Object.fromEntries(Object.entries(content).reverse());
    expect(fileReason(`\ufeff${JSON.stringify(turned)}`)).toBe('outcome');
  });

  test('any value changed, added or taken away: forged', () => {
    const content = JSON.parse(fileOf()) as Record<string, unknown>;
    const changed: unknown[] = [
      { ...content, outcome: 'failed' },
      { ...content, versionRead: '2.6.1' },
      { ...content, note: undefined },
      { ...content, more: 1 },
      { ...content, serial: 'TB8120000834', row: 1 },
      { ...content, check: '00'.repeat(32) },
      { ...content, steps: [] },
    ];
    for (const one of changed) expect(fileReason(JSON.stringify(one)), JSON.stringify(one)).toBe('forged');
    expect(fileReason(fileOf(sheetOf({ key: otherKey })))).toBe('forged');
    // The judge is not blind: unchanged it is taken.
    expect(fileReason(JSON.stringify(content))).toBe('outcome');
  });

  test('of another sheet, of another unit', () => {
    const other = sheetOf({ sheet: 'H8LT-3NP7' });
    const text = encodeOutcomeFile({ ...full, sheet: 'H8LT-3NP7' }, other);
    expect(readOutcomeFile(text, sheetOf())).toEqual({
      kind: 'refused',
      reason: 'wrong-sheet',
      seen: 'H8LT-3NP7',
    });
    expect(fileReason(fileOf(), sheetOf(), 'TB8120000834')).toBe('wrong-unit');
    expect(fileReason(fileOf(), sheetOf({ units: ['TB8120001234'] }))).toBe('wrong-unit');
    expect(fileReason(encodeOutcomeFile({ ...full, row: 1, serial: 'X 1' }, byHand()), byHand())).toBe(
      'outcome',
    );
  });

  test.each([
    ['nothing', ''],
    ['no JSON', '{'],
    ['a list', '[]'],
    ['null', 'null'],
    ['another kind', JSON.stringify({ slotproof: 'packet', format: 1 })],
    ['a later format', JSON.stringify({ ...JSON.parse(fileOf()), format: 2 })],
    ['no check', JSON.stringify({ ...JSON.parse(fileOf()), check: undefined })],
    ['an unknown outcome', JSON.stringify({ ...JSON.parse(fileOf()), outcome: 'splendid' })],
    ['a time without an offset', JSON.stringify({ ...JSON.parse(fileOf()), at: '2026-11-24T14:30' })],
    ['a note without end', JSON.stringify({ ...JSON.parse(fileOf()), note: 'x'.repeat(5000) })],
    ['steps without end', JSON.stringify({ ...JSON.parse(fileOf()), steps: Array(6000).fill(steps[0]) })],
    ['half a character', JSON.stringify({ ...JSON.parse(fileOf()), more: 'a\ud800' })],
    ['megabytes', ' '.repeat(3_000_000)],
  ])('malformed: %s', (_what, text) => {
    expect(fileReason(text)).toBe('malformed');
  });
});

describe('a QR code', () => {
  test('is capitals, digits and dots, and comes back whole', () => {
    expect(qrOf()).toMatch(/^SLOTPROOF1\.K7MD29XX\.[A-Z2-7]+$/);
    expect(readOutcomeQr(qrOf(), sheetOf())).toEqual({ kind: 'outcome', outcome: full });
    expect(peekOutcome(qrOf())).toEqual({ form: 'qr', sheet: 'K7MD-29XX' });
    expect(peekOutcome('K7MD-29XX')).toBeUndefined();
  });

  test('lives through messages and keyboards', () => {
    const text = qrOf();
    const germanKeys = text.replace(/[YZ]/g, (letter) => (letter === 'Y' ? 'Z' : 'Y'));
    expect(germanKeys).not.toBe(text);
    for (const typed of [text.toLowerCase(), `${text}\r\n`, text.replace(/.{40}/g, '$& \n'), germanKeys]) {
      expect(qrReason(typed)).toBe('outcome');
    }
  });

  test('every single wrong character is told', () => {
    const text = qrOf();
    const believed = [...text].flatMap((right, at) => {
      const wrong = right === 'A' ? 'B' : 'A';
      const reason = qrReason(text.slice(0, at) + wrong + text.slice(at + 1));
      return reason === 'mistyped' || reason === 'malformed' ? [] : [`${at} ${reason}`];
    });
    expect(believed).toEqual([]);
    expect(qrReason(text.slice(0, -3))).toBe('mistyped');
    expect(qrReason(`${text}A`)).toBe('mistyped');
  });

  test('forged, another sheet’s, another unit’s', () => {
    expect(qrReason(qrOf(sheetOf({ key: otherKey })))).toBe('forged');
    expect(qrReason(qrOf(sheetOf({ sheet: 'H8LT-3NP7' })))).toBe('wrong-sheet');
    expect(qrReason(qrOf(), sheetOf(), 'TB8120007777')).toBe('wrong-unit');
  });

  test.each([
    '',
    'SLOTPROOF1',
    'SLOTPROOF2.K7MD29XX.AAAAAAAAAAAAAAAAAAAAAAAAA',
    'https://x',
    'A'.repeat(9000),
  ])('malformed: %s', (text) => {
    expect(qrReason(text)).toBe('malformed');
  });

  test('too long for a screen: there is none', () => {
    expect(encodeOutcomeQr(updated({ note: 'x'.repeat(900) }), sheetOf())).toBeUndefined();
    expect(qrOf(sheetOf(), updated({ note: 'x'.repeat(500) })).length).toBeLessThan(longestQrText);
  });
});
