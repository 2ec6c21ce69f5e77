// Zones are stand-ins made here: fixed ones, and one with a spring and an autumn change.
import { expect, test } from 'vitest';
import { formatLocalDay, formatLocalTime, parseLocalTime } from '../../../src/words/local-time.ts';

const fixed = (minutes: number) => ({ offsetMinutes: () => minutes });
const spring = Date.UTC(2026, 2, 29, 1);
const autumn = Date.UTC(2026, 9, 25, 1);
/** +60, and +120 from the last Sunday of March, 01:00 UTC, to the last of October, 01:00 UTC. */
const changing = { offsetMinutes: (atMs: number) => (atMs >= spring && atMs < autumn ? 120 : 60) };

test.each([
  [0, '2026-11-24T14:30:00.007+00:00'],
  [60, '2026-11-24T15:30:00.007+01:00'],
  [-570, '2026-11-24T05:00:00.007-09:30'],
  [825, '2026-11-25T04:15:00.007+13:45'],
])('written with the offset: %i minutes', (minutes, text) => {
  expect(formatLocalTime(Date.UTC(2026, 10, 24, 14, 30, 0, 7), fixed(minutes))).toBe(text);
  expect(Date.parse(text)).toBe(Date.UTC(2026, 10, 24, 14, 30, 0, 7));
});

test('the local day is not the day of UTC', () => {
  expect(formatLocalDay(Date.UTC(2026, 10, 24, 23, 30), fixed(60))).toBe('2026-11-25');
  expect(formatLocalDay(Date.UTC(2026, 10, 24, 0, 30), fixed(-60))).toBe('2026-11-23');
});

test.each([
  ['2026-11-24T14:30', Date.UTC(2026, 10, 24, 13, 30)],
  ['2026-11-24 14:30', Date.UTC(2026, 10, 24, 13, 30)],
  ['2026-11-24t14:30:15', Date.UTC(2026, 10, 24, 13, 30, 15)],
  ['2026-11-24T14:30:15.25', Date.UTC(2026, 10, 24, 13, 30, 15, 250)],
  ['2026-11-24T14:30:15,2509', Date.UTC(2026, 10, 24, 13, 30, 15, 250)],
  ['2026-11-24T14:30Z', Date.UTC(2026, 10, 24, 14, 30)],
  ['2026-11-24T14:30+05:30', Date.UTC(2026, 10, 24, 9, 0)],
  ['2026-11-24T14:30-0330', Date.UTC(2026, 10, 24, 18, 0)],
  ['2026-11-24T14:30:00 +01', Date.UTC(2026, 10, 24, 13, 30)],
  ['2026-11-24', Date.UTC(2026, 10, 23, 23)],
  [' 2024-02-29 ', Date.UTC(2024, 1, 28, 23)],
])('read in a zone of +60: %s', (text, atMs) => {
  expect(parseLocalTime(text, fixed(60))).toBe(atMs);
});

test.each([
  '',
  'today',
  '24.11.2026',
  '2026-11-24T',
  '2026-11-24T24:00',
  '2026-11-24T14:60',
  '2026-11-24T14',
  '2026-02-29',
  '2026-13-01',
  '2026-00-10',
  '0026-01-01',
  '2026-11-24T14:30+25:00',
  '2026-11-24+01:00',
  '2026-11-24T14:30 or so',
])('no time: %s', (text) => {
  expect(parseLocalTime(text, fixed(0))).toBeUndefined();
});

test('clock changes: an hour left out is the hour after, an hour repeated the first one', () => {
  expect(parseLocalTime('2026-03-29T01:59', changing)).toBe(Date.UTC(2026, 2, 29, 0, 59));
  expect(parseLocalTime('2026-03-29T02:30', changing)).toBe(Date.UTC(2026, 2, 29, 1, 30));
  expect(parseLocalTime('2026-03-29T03:00', changing)).toBe(Date.UTC(2026, 2, 29, 1, 0));
  expect(parseLocalTime('2026-10-25T02:30', changing)).toBe(Date.UTC(2026, 9, 25, 0, 30));
  expect(parseLocalTime('2026-10-25T03:00', changing)).toBe(Date.UTC(2026, 9, 25, 2, 0));
});

test('what is written is read back, at every hour of a year of changes', () => {
  for (let atMs = Date.UTC(2026, 0, 1); atMs < Date.UTC(2027, 0, 1); atMs += 3_600_000) {
    expect(parseLocalTime(formatLocalTime(atMs, changing), changing)).toBe(atMs);
  }
});
