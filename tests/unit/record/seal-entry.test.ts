// Judges: a text written out by hand, and sha256sum.
import { spawnSync } from 'node:child_process';
import { expect, test } from 'vitest';
import { noPrev } from '../../../src/ports/record-rules.ts';
import { openEntry, sealEntry, storedEntry } from '../../../src/record/seal-entry.ts';
import { chainOf, newYear } from '../../support/entries.ts';

const draft = {
  kind: 'unit-retired',
  kindVersion: 1,
  claimedAt: '2026-11-24T14:30:00.000+01:00',
  typedBy: 'R. Quill',
  doneBy: 'M. Tänsy',
  body: { why: 'flood', serial: 'TRB00000018' },
};
const place = { laptop: 'k7mq4rt2', seq: 1, prev: noPrev, writtenAt: '2026-11-24T15:00:01.250+01:00' };

const byHand =
  '{"body":{"serial":"TRB00000018","why":"flood"},"claimedAt":"2026-11-24T14:30:00.000+01:00",' +
  '"doneBy":"M. Tänsy","format":1,"kind":"unit-retired","kindVersion":1,"laptop":"k7mq4rt2",' +
  '"prev":"0000000000000000000000000000000000000000000000000000000000000000","seq":1,' +
  '"typedBy":"R. Quill","writtenAt":"2026-11-24T15:00:01.250+01:00"}';

function sha256sum(text: string): string {
  return spawnSync('sha256sum', { input: text, encoding: 'utf8' }).stdout.slice(0, 64);
}

test('the text is the one written by hand, the hash is what sha256sum says of it', () => {
  const sealed = sealEntry(draft, place);
  expect(sealed.text).toBe(byHand);
  expect(sealed.hash).toBe(sha256sum(byHand));
  expect(sealed.hash).not.toBe(sha256sum(`${byHand} `));
});

test('the columns follow from the text', () => {
  expect(sealEntry(draft, place)).toMatchObject({
    laptop: 'k7mq4rt2',
    seq: 1,
    kind: 'unit-retired',
    serial: 'TRB00000018',
    claimedMs: Date.UTC(2026, 10, 24, 13, 30),
    writtenMs: Date.UTC(2026, 10, 24, 14, 0, 1, 250),
  });
  expect(sealEntry({ ...draft, body: { card: 'blue 3' } }, place).serial).toBeNull();
});

test('opening gives back what was sealed, and its id', () => {
  const sealed = sealEntry(draft, place);
  const entry = openEntry(sealed);
  expect(entry).toMatchObject({ ...draft, ...place, id: 'k7mq4rt2-1', hash: sealed.hash });
  expect(storedEntry(entry!, sealed.text)).toEqual(sealed);
});

test('each entry carries the hash of the one before it', () => {
  const chain = chainOf('k7mq4rt2');
  chain.add('unit-retired', { serial: 'A' }, newYear);
  chain.add('unit-retired', { serial: 'B' }, newYear);
  const [first, second] = chain.stored;
  expect(chain.entries[1]!.prev).toBe(sha256sum(first!.text));
  expect(second!.hash).toBe(sha256sum(second!.text));
});

test.each([
  ['no JSON', 'x'],
  ['a list', '[]'],
  ['null', 'null'],
  ['no body', byHand.replace('"body":{"serial":"TRB00000018","why":"flood"},', '')],
  ['a body that is a list', byHand.replace('{"serial":"TRB00000018","why":"flood"}', '[]')],
  ['another form of entry', byHand.replace('"format":1', '"format":2')],
  ['seq 0', byHand.replace('"seq":1', '"seq":0')],
  ['seq as text', byHand.replace('"seq":1', '"seq":"1"')],
  ['a short prev', byHand.replace('"prev":"00', '"prev":"')],
  ['a time without offset', byHand.replace('14:30:00.000+01:00', '14:30:00.000')],
  ['no such day', byHand.replace('2026-11-24T14', '2026-13-24T14')],
  ['nobody who typed', byHand.replace('"typedBy":"R. Quill",', '')],
])('what is no entry is not opened: %s', (_name, text) => {
  expect(text).not.toBe(byHand);
  expect(openEntry({ text, hash: noPrev })).toBeUndefined();
});

test('a draft that makes no entry is a bug of the caller', () => {
  expect(() => sealEntry({ ...draft, claimedAt: 'today' }, place)).toThrow(TypeError);
  expect(() => sealEntry({ ...draft, body: { note: '\ud800' } }, place)).toThrow(TypeError);
});
