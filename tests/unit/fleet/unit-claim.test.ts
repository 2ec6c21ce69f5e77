import { expect, test } from 'vitest';
import { judgeClaim, type UnitClaim } from '../../../src/fleet/unit-claim.ts';
import type { Product } from '../../../src/manifest/schema.ts';
import { newYear, utc } from '../../support/entries.ts';
import { pumpSerial } from '../../support/register-workspace.ts';

const rules = (id: string, pattern: string, check: string, versions: string, hardware: string[]) =>
  [id, { id, hardware, versions, serial: { pattern, check } } as unknown as Product] as const;
const products = new Map([
  rules('rill-40', '^TR(?<hardware>[A-D])[0-9]{8}$', 'luhn', 'dotted', ['A', 'B', 'C']),
  rules('lume-2', '^[0-9]{6}$', 'none', 'integer', ['1', '2']),
  rules('lume-3', '^[0-9]{6,8}$', 'none', 'date', ['x']),
]);
const nowMs = newYear + 10.5 * 86_400_000;
const todayMs = newYear + 10 * 86_400_000;
const judge = { products, nowMs, todayMs, zone: utc };
const pump = pumpSerial(17);
const base: UnitClaim = {
  serial: pump,
  site: 'Alder Farm',
  product: 'rill-40',
  hardware: 'B',
  version: '4.0.0',
};

const judged = (change: UnitClaim) => judgeClaim({ ...base, ...change }, judge);

test('a claim that agrees with the manifests', () => {
  expect(judgeClaim({ ...base, role: ' well  pump ', notes: '' }, judge)).toEqual({
    ok: true,
    registration: {
      serial: pump,
      product: 'rill-40',
      hardware: 'B',
      site: 'Alder Farm',
      details: { role: 'well pump' },
      version: { version: '4.0.0', atMs: todayMs, dated: false },
    },
  });
});

test('product and hardware come from the serial where they are left out', () => {
  expect(judged({ product: '', hardware: '', version: '' })).toMatchObject({
    ok: true,
    registration: { product: 'rill-40', hardware: 'B', version: null },
  });
});

test('capitals and blanks are corrected', () => {
  expect(judged({ serial: ` ${pump.toLowerCase()}\t`, product: 'RILL-40', hardware: 'b' })).toMatchObject({
    ok: true,
    registration: { serial: pump, product: 'rill-40', hardware: 'B' },
  });
});

test('a version with a date of its own', () => {
  expect(judged({ versionReadOn: '2026-01-05' })).toMatchObject({
    registration: { version: { atMs: newYear + 4 * 86_400_000, dated: true } },
  });
});

test.each<[string, UnitClaim]>([
  ['serial-empty', { serial: ' ' }],
  ['serial-too-long', { serial: '1'.repeat(80) }],
  ['serial-form', { serial: 'TRB1234' }],
  ['serial-form', { serial: `${pump}\nTRB` }],
  ['serial-form', { serial: '123456' }],
  ['serial-check', { serial: pump.replace(/.$/, (digit) => String((Number(digit) + 1) % 10)) }],
  ['serial-hardware', { serial: pumpSerial(17, 'D'), hardware: '' }],
  ['product-unknown', { product: 'rill-41' }],
  ['product-ambiguous', { serial: '123456', product: '' }],
  ['hardware-missing', { serial: '123456', product: 'lume-2', hardware: '' }],
  ['hardware-unknown', { hardware: 'E' }],
  ['hardware-conflict', { hardware: 'C' }],
  ['site-missing', { site: '  ' }],
  ['text-unfit', { site: 'x'.repeat(121) }],
  ['text-unfit', { notes: 'bell \u0007' }],
  ['version-form', { version: 'v4.0' }],
  ['version-form', { serial: '123456', product: 'lume-2', hardware: '1', version: '4.0' }],
  ['date-form', { versionReadOn: '5.1.2026' }],
  ['date-future', { versionReadOn: '2026-01-12' }],
])('refused as %s', (code, change) => {
  const result = judged(change);
  expect(result).toMatchObject({ ok: false, code });
  expect(!result.ok && result.summary.length > 10).toBe(true);
  expect(JSON.stringify(result)).not.toMatch(/\\u00(?:0|1)[0-9a-f]/);
});

test('a near product is offered', () => {
  expect(judged({ product: 'rill-41' })).toMatchObject({
    summary: expect.stringContaining('did you mean rill-40?'),
  });
});
