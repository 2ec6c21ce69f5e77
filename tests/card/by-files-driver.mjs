// Runs inside the guest: plays `prepare` on mounted cards one after another, as a user who may mount and unmount them but
// not open them, or as root, and leaves what the tool answered. Judges nothing.

import { spawnSync } from 'node:child_process';
import { appendFileSync, cpSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { begin, call, devicesNow, share, waitForCards } from './guest-cards.mjs';

const user = 1000;
const { scenarios, readers, slots } = JSON.parse(readFileSync(join(share, 'scenarios.json'), 'utf8'));

const as = (who) => (who === 'user' ? { uid: user, gid: user, env: { ...process.env, HOME: '/tmp' } } : {});
const callAs = (who, args) => call(args, { ...as(who), workspace: `/tmp/workspace-${who}` });

for (const who of ['user', 'root']) {
  cpSync(join(share, 'workspace'), `/tmp/workspace-${who}`, { recursive: true });
  if (who === 'user') spawnSync('chown', ['-R', `${user}:${user}`, `/tmp/workspace-${who}`]);
}
waitForCards(slots, readers.length + slots.length);

for (const { name, fileSystem, who, from } of scenarios) {
  begin(name);
  const device = `/dev/${devicesNow(slots).get(name)}`;
  const place = `/mnt/${name}`;
  mkdirSync(place, { recursive: true });
  appendFileSync('/etc/fstab', `${device} ${place} ${fileSystem} users,noauto,uid=${user},gid=${user} 0 0\n`);
  const mounted = spawnSync('mount', [place], { ...as(who), encoding: 'utf8' });
  try {
    if (!name.includes('protected')) writeFileSync(join(place, 'note.txt'), 'a note\n');
  } catch {}
  spawnSync('sync');
  const answers = { mounted: mounted.status === 0 ? '' : mounted.stderr };
  const cards = callAs(who, ['cards']);
  const id = cards.json?.cards?.find((one) => one.device === device)?.id ?? 'none';
  const release = ['--for', 'rill-40'];
  answers.prepared = callAs(who, [
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
  answers.checked = callAs(who, ['check', place, ...release]);
  spawnSync('umount', ['-l', place]);
  writeFileSync(join(share, `${name}.json`), JSON.stringify(answers));
}
