// Result files by the demonstration charger's pattern and by patterns that mean harm.

import { RE2JS } from 're2js';
import { describe, expect, test } from 'vitest';
import { maxResultBytes, readResultFile } from '../../../src/fleet/read-result-file.ts';
import { maxPatternSize } from '../../../src/manifest/lint-result-file.ts';
import type { Product } from '../../../src/manifest/schema.ts';
import { demoCatalogue } from '../../support/demo-world.ts';

const charger = demoCatalogue().products.get('kerb-22')!;
const serial = kerbSerial(7);
const line = (status = 'DONE', version = '126', one = serial) =>
  `KERB22 ${one} FW=${version} RESULT=${status}`;
const read = (text: string | Uint8Array, product: Product = charger) =>
  readResultFile(typeof text === 'string' ? new TextEncoder().encode(text) : text, product);
const codeOf = (text: string | Uint8Array, product?: Product) => {
  const reading = read(text, product);
  return reading.ok ? 'ok' : reading.code;
};

/** ISO/IEC 7064 MOD 97-10 over all digits, worked out here on its own. */
function kerbSerial(number: number, hardware = 2): string {
  const digits = `${hardware}${String(number).padStart(9, '0')}`;
  const check = 98n - ((BigInt(digits) * 100n) % 97n);
  return `TKR${digits}${String(check).padStart(2, '0')}`;
}

describe('what it says', () => {
  test('updated, with the version', () => {
    expect(read(`${line()}\n`)).toEqual({
      ok: true,
      result: { serial, outcome: 'updated', status: 'DONE', version: '126' },
    });
  });

  test('failed, by each of its words', () => {
    expect(read(line('E41', '121'))).toMatchObject({
      ok: true,
      result: { outcome: 'failed', status: 'E41' },
    });
    expect(read(line('E47', '121'))).toMatchObject({ ok: true, result: { outcome: 'failed' } });
  });

  test('line ends of every kind, further lines, padding at the end, letters of old code pages', () => {
    const bytes = (text: string) => Uint8Array.from(text, (character) => character.charCodeAt(0));
    for (const text of [
      `\r\n${line()}\r\nmore\r\n`,
      `${line()}\r`,
      `START\n${line()}\n\u0000\u0000\u001a`,
      `${line()}\n${'\u00ff'.repeat(100)}`,
      `Gru\u00df\n${line()}`,
      `\u00ef\u00bb\u00bf${line()}`,
    ]) {
      expect(read(bytes(text)), JSON.stringify(text)).toMatchObject({ ok: true, result: { serial } });
    }
  });

  test('no version where the pattern has no group for it, or the group took no part', () => {
    const short: Product = {
      ...charger,
      resultFile: { ...charger.resultFile!, pattern: '(?<serial>TKR[0-9]+) (?<status>[A-Z]+)' },
    };
    expect(read(`${serial} DONE`, short)).toMatchObject({ ok: true, result: { version: undefined } });
    const optional = {
      ...short.resultFile!,
      pattern: '(?<serial>TKR[0-9]+)(?: v(?<version>[0-9]+))? (?<status>[A-Z]+)',
    };
    expect(read(`${serial} DONE`, { ...charger, resultFile: optional })).toMatchObject({
      ok: true,
      result: { version: undefined },
    });
  });
});

describe('what is refused', () => {
  const swapped = serial.replace(/(\d)(\d)$/, '$2$1');
  test.each([
    ['an empty file', '', 'result-form'],
    ['another text', 'hello', 'result-form'],
    ['a line cut short', line().slice(0, -6), 'result-form'],
    ['another status', line('MAYBE'), 'status-unknown'],
    ['a status in other letters', line('DONE').replace('DONE', 'E48'), 'status-unknown'],
    ['a serial with a slip', line('DONE', '126', swapped), 'serial-check'],
    ['the same result twice', `${line()}\n${line()}`, 'result-several'],
    ['two results', `${line('E41', '121')}\n${line()}`, 'result-several'],
    ['zeros alone', new Uint8Array(500), 'result-form'],
    ['too much', 'x'.repeat(maxResultBytes + 1), 'result-too-large'],
  ])('%s', (_, text, code) => {
    expect(codeOf(text)).toBe(code);
  });

  test('a version that is none by the scheme, a product without a result file', () => {
    const dotted: Product = { ...charger, versions: 'date' };
    expect(codeOf(line(), dotted)).toBe('version-form');
    const { resultFile: _, ...without } = charger;
    expect(codeOf(line(), without as Product)).toBe('result-unknown');
  });

  test('what it says of the file is fit to print', () => {
    const evil: Product = {
      ...charger,
      resultFile: { ...charger.resultFile!, pattern: '(?s)(?<serial>TKR[0-9]{12}) (?<status>.*)' },
    };
    const reading = read(`${serial} \u001b[31m\u202eDONE`, evil);
    expect(reading).toMatchObject({ ok: false, code: 'status-unknown' });
    expect(JSON.stringify(reading)).not.toMatch(/\\u001b|\u202e/);
  });
});

test('no pattern that a manifest may have makes it hang', () => {
  const patterns = [
    '(?<serial>(?:a?){300}(?:a?){180})(?<status>[bc])$',
    '(?<serial>(a*)*)(?<status>(a|aa)+)$',
    '(?<serial>.*)(?<status>.*)(?<version>.*)x$',
    '(?s)(?<serial>.{0,400})(?<status>.{0,50})z',
    '(?<serial>)(?<status>)',
  ];
  for (const pattern of patterns) {
    expect(RE2JS.compile(pattern).programSize()).toBeLessThanOrEqual(maxPatternSize);
    const product: Product = { ...charger, resultFile: { ...charger.resultFile!, pattern } };
    for (const text of [
      'a'.repeat(maxResultBytes),
      `${'ab'.repeat(maxResultBytes / 2 - 1)}c`,
      'a\n'.repeat(8000),
    ]) {
      expect(['result-form', 'result-several', 'serial-empty', 'serial-too-long', 'serial-form']).toContain(
        codeOf(text, product),
      );
    }
  }
}, 20_000);
