import { expect, test } from 'vitest';
import { type CardCode, finding } from '../../../../src/card/check/finding-codes.ts';
import { worstStop } from '../../../../src/card/check/worst-stop.ts';

const found = (...codes: readonly CardCode[]) =>
  codes.map((code) => finding(code, { summary: code, next: 'next' }));

test('another card or release wins over a new format, and that over what prepare puts right', () => {
  expect(worstStop(found('capacity-too-small', 'chain-broken', 'image-missing'))?.code).toBe(
    'capacity-too-small',
  );
  expect(worstStop(found('capacity-too-small', 'withdrawn', 'boot-sector-bad'))?.code).toBe('withdrawn');
  expect(worstStop(found('withdrawals-unread', 'file-system-not-allowed'))?.code).toBe('withdrawals-unread');
  expect(worstStop(found('image-missing', 'written-by-mount'))?.code).toBe('written-by-mount');
  expect(worstStop(found('cluster-too-large', 'chain-broken', 'image-missing'))?.code).toBe('chain-broken');
  expect(worstStop(found('image-missing', 'volume-dirty', 'lost-clusters'))?.code).toBe('volume-dirty');
  expect(worstStop(found('lost-clusters', 'free-count-wrong'))).toBeUndefined();
});
