// Runs inside the guest: plays the scenarios of the shared folder one after another on its cards, and leaves what the
// tool answered. Judges nothing.

import { spawn, spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { basename, join } from 'node:path';
import { begin, call, devicesNow, share, waitForCards } from './guest-cards.mjs';

const { scenarios, readers, slots } = JSON.parse(readFileSync(join(share, 'scenarios.json'), 'utf8'));

cpSync(join(share, 'workspace'), '/tmp/workspace', { recursive: true });
waitForCards(slots, readers.length + slots.length);

/** A workspace on a drive of its own, on which not a byte is free: `before` the tool begins, or once the card was `written` to. */
function fullDrive(when, device) {
  const drive = '/mnt/full';
  mkdirSync(drive, { recursive: true });
  spawnSync('mount', ['-t', 'tmpfs', '-o', 'size=8m', 'full', drive]);
  cpSync(join(share, 'workspace'), join(drive, 'workspace'), { recursive: true });
  const fill = `dd if=/dev/zero of=${drive}/filler bs=4096`;
  const written = `awk '{ print $7 }' /sys/block/${basename(device)}/stat`;
  if (when === 'before') spawnSync('sh', ['-c', fill]);
  else {
    const wait = `had=$(${written}); while [ "$(${written})" = "$had" ]; do usleep 20000; done`;
    spawn('sh', ['-c', `${wait}; ${fill}`], { stdio: 'ignore' }).unref();
  }
  return join(drive, 'workspace');
}

for (const { name, card, mount, args, full } of scenarios) {
  begin(name);
  const device = `/dev/${devicesNow(slots).get(card)}`;
  const answers = {};
  let place = device;
  if (mount) {
    place = `/mnt/${name}`;
    mkdirSync(place, { recursive: true });
    spawnSync('mount', ['-t', 'vfat', device, place]);
    writeFileSync(join(place, 'note.txt'), 'a note\n');
    answers.checked = call(['check', place, '--for', 'rill-40']);
  }
  answers.cards = call(['cards']);
  const seen = answers.cards.json?.cards?.find((one) => one.device === device);
  const order = ['--for', 'rill-40', '--as', 'tester', '--confirm', seen?.id ?? 'none', ...args];
  answers.prepared = call(['prepare', place, ...order], full ? { workspace: fullDrive(full, device) } : {});
  writeFileSync(join(share, `${name}.json`), JSON.stringify(answers));
}
