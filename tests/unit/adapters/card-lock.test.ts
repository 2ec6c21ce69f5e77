// One writer a card: refused while another holds it, by whatever name; free again when that one closes it or dies.

import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { linkSync, mkdirSync, mkdtempSync, rmSync, statSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeEach, expect, test, vi } from 'vitest';
import { cardImages } from '../../../src/adapters/cards/card-images.ts';
import { bundleForNode } from '../../support/bundle-for-node.ts';
import { failureOf } from '../../support/failure-of.ts';

const folder = mkdtempSync(join(tmpdir(), 'slotproof-lock-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const at = (name: string) => join(folder, name);
const inUse = { code: 'card-in-use', exit: 5 };

beforeEach(() => {
  for (const name of ['a.img', 'b.img', 'linked.img']) rmSync(at(name), { force: true });
  for (const name of ['a.img', 'b.img']) writeFileSync(at(name), Buffer.alloc(4096));
});

test('a second writer is refused until the first has closed it; readers are not', () => {
  const first = cardImages.openToWrite(at('a.img'));
  expect(failureOf(() => cardImages.openToWrite(at('a.img')))).toMatchObject(inUse);
  cardImages.openToRead(at('a.img')).close();
  first.write(0, Buffer.from('still ours'));
  first.close();
  cardImages.openToWrite(at('a.img')).close();
});

test('another name of the same file is the same card; another file is another', () => {
  linkSync(at('a.img'), at('linked.img'));
  const first = cardImages.openToWrite(at('a.img'));
  expect(failureOf(() => cardImages.openToWrite(at('linked.img')))).toMatchObject(inUse);
  cardImages.openToWrite(at('b.img')).close();
  first.close();
});

test('a card that is being made is in use', () => {
  const made = cardImages.create(at('linked.img'), 4096);
  expect(failureOf(() => cardImages.openToWrite(at('linked.img')))).toMatchObject(inUse);
  made.close();
  cardImages.openToWrite(at('linked.img')).close();
});

test('a writer that is killed holds nothing', async () => {
  const holder = spawn(process.execPath, [await bundleForNode('card-holder', folder), at('a.img')], {
    env: { ...process.env, NODE_PATH: join(import.meta.dirname, '../../../node_modules') },
  });
  await once(holder.stdout, 'data');
  expect(failureOf(() => cardImages.openToWrite(at('a.img')))).toMatchObject(inUse);
  const ended = once(holder, 'exit');
  holder.kill('SIGKILL');
  await ended;
  cardImages.openToWrite(at('a.img')).close();
});

test('a folder of locks that somebody else has laid there as a link is not used', () => {
  const temporary = mkdtempSync(at('tmp'));
  symlinkSync(folder, join(temporary, `slotproof-writers-${process.getuid?.()}`));
  vi.stubEnv('TMPDIR', temporary);
  try {
    const refused = failureOf(() => cardImages.openToWrite(at('a.img')));
    expect(refused).toMatchObject({ code: 'lock-folder-foreign', exit: 5 });
  } finally {
    vi.unstubAllEnvs();
  }
  cardImages.openToWrite(at('a.img')).close();
});

test('where no lock can be made nothing is opened: one clear failure', () => {
  const temporary = mkdtempSync(at('tmp'));
  const locks = join(temporary, `slotproof-writers-${process.getuid?.()}`);
  const { dev, ino } = statSync(at('a.img'), { bigint: true });
  mkdirSync(join(locks, `${dev}-${ino}.lock`), { recursive: true, mode: 0o700 });
  vi.stubEnv('TMPDIR', temporary);
  try {
    expect(failureOf(() => cardImages.openToWrite(at('a.img')))).toMatchObject({
      code: 'lock-failed',
      exit: 6,
    });
  } finally {
    vi.unstubAllEnvs();
  }
});
