// Runs inside the guest: which device is which of the test's cards, and the tool called as a script would. Judges nothing.

import { spawnSync } from 'node:child_process';
import { existsSync, readdirSync, readFileSync, realpathSync, renameSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';

export const share = '/mnt/share';
const tool = join(share, 'tool/bin/slotproof.js');

/** Told to the other side, which names it where the guest is stopped at its bound. */
export const begin = (name) => writeFileSync(join(share, 'playing'), name);

let orders = 0;

/** To the hand at the reader, on the other side. */
export function ask(order) {
  orders += 1;
  const path = join(share, 'hands', String(orders).padStart(3, '0'));
  writeFileSync(path, JSON.stringify(order));
  renameSync(path, `${path}.json`);
}

/** The serial of the USB reader that a disk hangs on; undefined where it is being taken out. */
function serialOf(disk) {
  try {
    for (let at = realpathSync(`/sys/block/${disk}`); at !== '/'; at = dirname(at)) {
      if (existsSync(join(at, 'serial')) && existsSync(join(at, 'idVendor')))
        return readFileSync(join(at, 'serial'), 'utf8').trim();
    }
  } catch {}
  return undefined;
}

/** Disk by card; `slots`: names of the cards in slots, in their order. */
export function devicesNow(slots) {
  const found = new Map(
    slots.map((name, i) => [name, `mmcblk${i}`]).filter(([, disk]) => existsSync(`/sys/block/${disk}`)),
  );
  for (const disk of readdirSync('/sys/block').filter((one) => one.startsWith('sd'))) {
    const serial = serialOf(disk);
    if (serial !== undefined) found.set(serial, disk);
  }
  return found;
}

export function waitForCards(slots, count) {
  for (let i = 0; i < 200 && devicesNow(slots).size < count; i++) spawnSync('sleep', ['0.1']);
}

/** What the tool answers to a script. `more`: of how it is started, and its workspace. */
export function call(args, { workspace = '/tmp/workspace', ...more } = {}) {
  const { status, stdout, stderr } = spawnSync(
    'node',
    [tool, '--workspace', workspace, '--no-input', '--json', ...args],
    { encoding: 'utf8', timeout: 120_000, ...more },
  );
  let json = null;
  try {
    json = JSON.parse(stdout);
  } catch {}
  return { exit: status, json, stdout: json === null ? stdout : '', stderr };
}
