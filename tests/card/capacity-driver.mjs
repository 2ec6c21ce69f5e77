// Runs inside the guest: tests each card's capacity once, and leaves what the tool answered. Judges nothing.

import { spawnSync } from 'node:child_process';
import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { call, devicesNow, share, waitForCards } from './guest-cards.mjs';

const { cards, slots } = JSON.parse(readFileSync(join(share, 'capacity.json'), 'utf8'));
waitForCards(slots, cards.length);

for (const { name, mount, args } of cards) {
  const device = `/dev/${devicesNow(slots).get(name)}`;
  let place = device;
  if (mount) {
    place = `/mnt/${name}`;
    mkdirSync(place, { recursive: true });
    spawnSync('mount', ['-t', 'vfat', device, place]);
  }
  const seen = call(['cards']).json?.cards?.find((one) => one.device === device);
  const tested = call(['test-card', place, '--confirm', seen?.id ?? 'none', ...args], { timeout: 400_000 });
  writeFileSync(join(share, `capacity-${name}.json`), JSON.stringify(tested));
}
