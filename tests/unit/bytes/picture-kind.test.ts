// By the first bytes as the formats' own documents give them, in hex; and every one of them changed.

import { expect, test } from 'vitest';
import { type PictureKind, pictureKind } from '../../../src/bytes/picture-kind.ts';

const samples: readonly (readonly [PictureKind, string])[] = [
  ['jpeg', 'ffd8ffe000104a464946'],
  ['png', '89504e470d0a1a0a0000000d49484452'],
  ['gif', '474946383961'],
  ['tiff', '49492a0008000000'],
  ['tiff', '4d4d002a00000008'],
  ['webp', '524946462400000057454250565038'],
  ['heif', '0000001866747970686569630000'],
  ['heif', '000000186674797061766966'],
  ['pdf', '255044462d312e37'],
];

test.each(samples)('%s, %s', (kind, hex) => {
  expect(pictureKind(Buffer.from(hex, 'hex'))).toBe(kind);
});

test.each(['', 'ff', 'ffd8', '3c21444f43', '504b0304', '00000018667479706d703432', '0000'.repeat(20)])(
  'none: %s',
  (hex) => {
    expect(pictureKind(Buffer.from(hex, 'hex'))).toBeUndefined();
  },
);

test('a signature that is cut short, or has another byte, is none', () => {
  for (const [kind, length] of [
    ['jpeg', 3],
    ['png', 8],
    ['pdf', 5],
  ] as const) {
    const whole = Buffer.from(samples.find(([name]) => name === kind)![1], 'hex');
    for (let at = 0; at < length; at++) {
      expect(pictureKind(whole.subarray(0, at))).toBeUndefined();
      const changed = Buffer.from(whole);
      changed[at]! ^= 1;
      expect(pictureKind(changed), `${kind} ${at}`).toBeUndefined();
    }
  }
});
