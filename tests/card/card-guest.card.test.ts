// How the tier on a real kernel itself answers where it cannot run or does not end: in one sentence, and within a bound.

import { mkdirSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { aptGet } from '../support/apt-get.ts';
import { Hands, requireArchitecture, runInGuest } from '../support/card-guest.ts';
import { temporaryFolder } from '../support/card-images.ts';

test('another architecture is named', () => {
  expect(() => requireArchitecture('arm64')).toThrow(/run on x64 computers alone; this one is arm64/);
  requireArchitecture('x64');
});

test('apt-get that fails is tried again, which is told, and then what it said is in the error', () => {
  const told: string[] = [];
  let tries = 0;
  const run = () => {
    tries += 1;
    throw Object.assign(new Error('Command failed'), { stderr: 'W: old\nE: Unable to fetch\n' });
  };
  const ways = { run, tell: (line: string) => told.push(line), wait: () => {} };
  expect(() => aptGet(['update'], ways)).toThrow(/^"apt-get update" failed 3 times \(E: Unable to fetch\)/);
  expect([tries, told.length]).toEqual([3, 2]);
  expect(told[0]).toContain('tried again');
});

test('apt-get that comes to itself is asked no more', () => {
  let tries = 0;
  const run = () => {
    tries += 1;
    if (tries === 1) throw Object.assign(new Error('spawnSync apt-get ETIMEDOUT'), { code: 'ETIMEDOUT' });
  };
  const told: string[] = [];
  aptGet(['update'], { run, tell: (line) => told.push(line), wait: () => {} });
  expect(tries).toBe(2);
  expect(told).toEqual([expect.stringContaining('no end within 300 seconds')]);
});

test('an emulator that talks without end is hung up on', async () => {
  const path = join(temporaryFolder(), 'monitor');
  const hungUp = new Promise<void>((resolve) => {
    const server = createServer((socket) => {
      const talk = setInterval(() => socket.write('x'.repeat(2 ** 18)), 5);
      socket.on('error', () => {});
      socket.on('close', () => {
        clearInterval(talk);
        server.close();
        resolve();
      });
    });
    server.listen(path, () => new Hands(path, () => ({})).takeOut({ name: 'any', reader: 'usb' }));
  });
  await hungUp;
});

test('a guest that does not end is stopped at its bound, and what it played is named', async () => {
  const share = temporaryFolder();
  mkdirSync(share, { recursive: true });
  writeFileSync(join(share, 'run.sh'), 'sleep 1000\n');
  const before = runInGuest(share, [], 3);
  await expect(before).rejects.toThrow(/stopped at its bound of 3 seconds, before its first scenario/);
  const during = runInGuest(share, [], 3);
  writeFileSync(join(share, 'playing'), 'usb-slow');
  await expect(during).rejects.toThrow(/stopped at its bound of 3 seconds, at usb-slow/);
}, 900_000);
