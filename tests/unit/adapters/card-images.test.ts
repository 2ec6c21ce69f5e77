import {
  chmodSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { cardImages } from '../../../src/adapters/cards/card-images.ts';
import { failureOf } from '../../support/failure-of.ts';

let folder = '';
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'slotproof-cards-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));
const at = (name: string) => join(folder, name);

test('what was written is read back, and nothing lies beyond the end', () => {
  writeFileSync(at('card.img'), Buffer.alloc(4096));
  const card = cardImages.openToWrite(at('card.img'));
  card.write(512, Buffer.from('slot'));
  card.flush();
  const back = new Uint8Array(4);
  card.read(512, back);
  expect(Buffer.from(back).toString()).toBe('slot');
  expect(() => card.read(4095, new Uint8Array(2))).toThrow(RangeError);
  expect(() => card.write(4095, new Uint8Array(2))).toThrow(RangeError);
  expect(() => card.read(-1, new Uint8Array(1))).toThrow(RangeError);
  card.close();
  expect(readFileSync(at('card.img')).subarray(512, 516).toString()).toBe('slot');
});

test('a new image has its exact size, is sparse, and replaces none', () => {
  cardImages.create(at('new.img'), 4_000_000_000).close();
  expect(statSync(at('new.img')).size).toBe(4_000_000_000);
  expect(statSync(at('new.img')).blocks).toBeLessThan(100);
  expect(failureOf(() => cardImages.create(at('new.img'), 512))).toMatchObject({
    code: 'card-exists',
    exit: 5,
  });
  expect(failureOf(() => cardImages.create(at('new.bin'), 512))).toMatchObject({
    code: 'not-a-card-image',
    exit: 2,
  });
});

test('refuses what is no card image file', () => {
  mkdirSync(at('folder.img'));
  writeFileSync(at('file.txt'), '');
  symlinkSync('/dev/null', at('device.img'));
  for (const open of [cardImages.openToRead, cardImages.openToWrite, cardImages.identify]) {
    expect(failureOf(() => open(at('none.img')))).toMatchObject({ code: 'file-absent', exit: 2 });
    expect(failureOf(() => open(at('folder.img')))).toMatchObject({ code: 'not-a-card-image', exit: 2 });
    expect(failureOf(() => open(at('file.txt')))).toMatchObject({
      code: 'not-a-card-image',
      exit: 2,
      next: expect.stringContaining('or the card itself: its device or where it is mounted'),
    });
    expect(failureOf(() => open(at('device.img')))).toMatchObject({ code: 'not-a-card-image', exit: 5 });
  }
});

test('never writes through a link, nor to a write-protected card', () => {
  writeFileSync(at('real.img'), Buffer.alloc(512));
  symlinkSync('real.img', at('link.img'));
  expect(failureOf(() => cardImages.openToWrite(at('link.img')))).toMatchObject({
    code: 'card-is-a-link',
    exit: 5,
  });
  cardImages.openToRead(at('link.img')).close();
  chmodSync(at('real.img'), 0o444);
  expect(failureOf(() => cardImages.openToWrite(at('real.img')))).toMatchObject({
    code: 'write-protected',
    exit: 6,
  });
});

test('the identity changes with the file, the size and the first sectors, and with nothing else', () => {
  writeFileSync(at('a.img'), Buffer.alloc(200_000));
  const before = cardImages.identify(at('a.img'));
  expect(cardImages.identify(at('a.img'))).toEqual(before);
  const card = cardImages.openToWrite(at('a.img'));
  card.write(0, Buffer.from('x'));
  card.close();
  expect(cardImages.identify(at('a.img')).firstSectorsSha256).not.toBe(before.firstSectorsSha256);
  rmSync(at('a.img'));
  writeFileSync(at('b.img'), Buffer.alloc(200_000));
  expect(cardImages.identify(at('b.img')).path).toBe(at('b.img'));
});

test('a close that fails is a failure of the card, not a bug', () => {
  writeFileSync(at('a.img'), Buffer.alloc(512));
  const card = cardImages.openToWrite(at('a.img'));
  card.close();
  expect(failureOf(() => card.close())).toMatchObject({ exit: 6, where: at('a.img') });
});

test('a size that the drive does not take leaves no empty file', () => {
  // More than any file can have: how far a drive goes is its own affair.
  expect(() => cardImages.create(at('vast.img'), 2 ** 62)).toThrow();
  expect(readdirSync(folder)).toEqual([]);
});

test('what is flushed soon may be written to meanwhile', async () => {
  const path = at('soon.img');
  writeFileSync(path, new Uint8Array(1 << 20));
  const card = cardImages.openToWrite(path);
  card.write(0, new Uint8Array(4096).fill(7));
  const soon = card.flushSoon?.();
  card.write(8192, new Uint8Array(512).fill(9));
  await soon;
  card.close();
  expect(readFileSync(path)[8192]).toBe(9);
});
