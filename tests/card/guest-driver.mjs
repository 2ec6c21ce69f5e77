// Runs inside the guest: plays the scenarios of the shared folder one after another on its cards, and leaves what the
// tool answered. Judges nothing.

import { spawnSync } from 'node:child_process';
import {
  cpSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  realpathSync,
  writeFileSync,
} from 'node:fs';
import { dirname, join } from 'node:path';

const share = '/mnt/share';
const tool = join(share, 'tool/bin/slotproof.js');
const { scenarios, readers, slots } = JSON.parse(readFileSync(join(share, 'scenarios.json'), 'utf8'));

/** The serial of the USB reader that a disk hangs on. */
function serialOf(disk) {
  for (let at = realpathSync(`/sys/block/${disk}`); at !== '/'; at = dirname(at)) {
    if (existsSync(join(at, 'serial')) && existsSync(join(at, 'idVendor')))
      return readFileSync(join(at, 'serial'), 'utf8').trim();
  }
  return undefined;
}

function devicesNow() {
  const found = new Map(
    slots.map((name, i) => [name, `mmcblk${i}`]).filter(([, disk]) => existsSync(`/sys/block/${disk}`)),
  );
  for (const disk of readdirSync('/sys/block').filter((one) => one.startsWith('sd'))) {
    const serial = serialOf(disk);
    if (serial !== undefined) found.set(serial, disk);
  }
  return found;
}

function call(args) {
  const { status, stdout, stderr } = spawnSync(
    'node',
    [tool, '--workspace', '/tmp/workspace', '--no-input', '--json', ...args],
    {
      encoding: 'utf8',
      timeout: 120_000,
    },
  );
  let json = null;
  try {
    json = JSON.parse(stdout);
  } catch {}
  return { exit: status, json, stdout: json === null ? stdout : '', stderr };
}

cpSync(join(share, 'workspace'), '/tmp/workspace', { recursive: true });
for (let i = 0; i < 200 && devicesNow().size < readers.length + slots.length; i++)
  spawnSync('sleep', ['0.1']);

for (const { name, card, mount, args } of scenarios) {
  const device = `/dev/${devicesNow().get(card)}`;
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
  answers.prepared = call([
    'prepare',
    place,
    '--for',
    'rill-40',
    '--as',
    'tester',
    '--confirm',
    seen?.id ?? 'none',
    ...args,
  ]);
  writeFileSync(join(share, `${name}.json`), JSON.stringify(answers));
}
