import { expect, test } from 'vitest';
import { formatBytes, formatSize, parseSize } from '../../../src/words/size.ts';

test.each([
  ['4GB', 4_000_000_000],
  ['512MiB', 536_870_912],
  ['512 MiB', 536_870_912],
  ['1.5GiB', 1_610_612_736],
  ['18874368', 18_874_368],
  ['64KiB', 65_536],
  ['8 B', 8],
])('%s is %d bytes', (text, bytes) => {
  expect(parseSize(text)).toBe(bytes);
});

test.each(['', 'GB', '-4GB', '4XB', '4 gigabytes', '1.0005kB', '1e9', '9999999999999999TB', '0x10', '0.3B'])(
  '%j is no size',
  (text) => {
    expect(parseSize(text)).toBeUndefined();
  },
);

test('sizes for people', () => {
  expect(formatSize(0)).toBe('0 bytes');
  expect(formatSize(999)).toBe('999 bytes');
  expect(formatSize(1000)).toBe('1.0 kB');
  expect(formatSize(999_949)).toBe('999.9 kB');
  expect(formatSize(999_950)).toBe('1.0 MB');
  expect(formatSize(31_914_983_424)).toBe('31.9 GB');
  expect(formatBytes(18_874_368)).toBe('18,874,368');
  expect(formatBytes(7)).toBe('7');
});
