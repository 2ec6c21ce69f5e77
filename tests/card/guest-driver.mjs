// Runs inside the guest: plays the scenarios of the shared folder one after another on its cards, and leaves what the
// tool answered. Judges nothing.

import { spawnSync } from 'node:child_process';
import { cpSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { call, devicesNow, share, waitForCards } from './guest-cards.mjs';

const { scenarios, readers, slots } = JSON.parse(readFileSync(join(share, 'scenarios.json'), 'utf8'));

cpSync(join(share, 'workspace'), '/tmp/workspace', { recursive: true });
waitForCards(slots, readers.length + slots.length);

for (const { name, card, mount, args } of scenarios) {
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
