// Runs inside the guest: plays `prepare` on mounted cards one after another, as a user who may mount and unmount them but
// not open them, or as root, and leaves what the tool answered. Judges nothing.

import { spawnSync } from 'node:child_process';
import {
  appendFileSync,
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
const user = 1000;
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

const as = (who) => (who === 'user' ? { uid: user, gid: user, env: { ...process.env, HOME: '/tmp' } } : {});

function call(who, args) {
  const tool = [join(share, 'tool/bin/slotproof.js'), '--workspace', `/tmp/workspace-${who}`];
  const { status, stdout, stderr } = spawnSync('node', [...tool, '--no-input', '--json', ...args], {
    ...as(who),
    encoding: 'utf8',
    timeout: 120_000,
  });
  let json = null;
  try {
    json = JSON.parse(stdout);
  } catch {}
  return { exit: status, json, stdout: json === null ? stdout : '', stderr };
}

for (const who of ['user', 'root']) {
  cpSync(join(share, 'workspace'), `/tmp/workspace-${who}`, { recursive: true });
  if (who === 'user') spawnSync('chown', ['-R', `${user}:${user}`, `/tmp/workspace-${who}`]);
}
for (let i = 0; i < 200 && devicesNow().size < readers.length + slots.length; i++)
  spawnSync('sleep', ['0.1']);

for (const { name, fileSystem, who, from } of scenarios) {
  const device = `/dev/${devicesNow().get(name)}`;
  const place = `/mnt/${name}`;
  mkdirSync(place, { recursive: true });
  appendFileSync('/etc/fstab', `${device} ${place} ${fileSystem} users,noauto,uid=${user},gid=${user} 0 0\n`);
  const mounted = spawnSync('mount', [place], { ...as(who), encoding: 'utf8' });
  try {
    if (!name.includes('protected')) writeFileSync(join(place, 'note.txt'), 'a note\n');
  } catch {}
  spawnSync('sync');
  const answers = { mounted: mounted.status === 0 ? '' : mounted.stderr };
  const cards = call(who, ['cards']);
  const id = cards.json?.cards?.find((one) => one.device === device)?.id ?? 'none';
  const release = ['--for', 'rill-40'];
  answers.prepared = call(who, [
    'prepare',
    place,
    ...release,
    '--as',
    'tester',
    '--confirm',
    id,
    '--from',
    from,
  ]);
  // What a person would ask next, with the card where it is.
  spawnSync('mount', [place], as(who));
  answers.checked = call(who, ['check', place, ...release]);
  spawnSync('umount', ['-l', place]);
  writeFileSync(join(share, `${name}.json`), JSON.stringify(answers));
}
