import { expect, test } from 'vitest';
import { formatTimeOfDay, latestStart, parseTimeOfDay } from '../../../src/sheet/latest-start.ts';

const at = (text: string) => parseTimeOfDay(text) as number;

test('an hour in reserve, then the longest way once for each unit', () => {
  // 16:30 less 1 h less 87 min is 14:03; three of them: less 261 min is 11:09.
  expect(latestStart(at('16:30'), 87, 1)).toEqual({ anyUnit: at('14:03'), first: at('14:03'), fit: 10 });
  expect(latestStart(at('16:30'), 87, 3)).toEqual({ anyUnit: at('14:03'), first: at('11:09'), fit: 10 });
});

test('what does not fit into the day is said, not turned into the day before', () => {
  expect(latestStart(at('02:00'), 61, 1)).toEqual({ anyUnit: undefined, first: undefined, fit: 0 });
  expect(latestStart(at('02:00'), 60, 1)).toEqual({ anyUnit: 0, first: 0, fit: 1 });
  expect(latestStart(at('04:00'), 60, 4)).toEqual({ anyUnit: at('02:00'), first: undefined, fit: 3 });
  expect(latestStart(at('00:30'), 10, 1).anyUnit).toBeUndefined();
});

test('times of day as people write them', () => {
  expect(parseTimeOfDay('16:30')).toBe(990);
  expect(parseTimeOfDay(' 7.05 ')).toBe(425);
  expect(parseTimeOfDay('00:00')).toBe(0);
  for (const text of ['24:00', '12:60', '1630', '16:3', '-1:00', '16:30:00', '', 'noon']) {
    expect(parseTimeOfDay(text), text).toBeUndefined();
  }
  expect(formatTimeOfDay(425)).toBe('07:05');
});
