// Runs inside the guest: tests each card's capacity once, or once more where that failed, and leaves what the tool answered
// and what it kept for going on. Judges nothing.

import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ask, begin, call, devicesNow, share, waitForCards } from './guest-cards.mjs';

const { cards, slots } = JSON.parse(readFileSync(join(share, 'capacity.json'), 'utf8'));
waitForCards(slots, cards.length);

const journals = '/tmp/workspace/card-tests';

/** Where a later run would go on, as it is kept. */
function keptPoints() {
  if (!existsSync(journals)) return [];
  return readdirSync(journals).map((one) => JSON.parse(readFileSync(join(journals, one), 'utf8')).point);
}

function until(holds) {
  for (let i = 0; i < 300 && !holds(); i++) spawnSync('sleep', ['0.1']);
}

function testCard(device, place, args) {
  const seen = call(['cards']).json?.cards?.find((one) => one.device === device);
  return call(['test-card', place, '--confirm', seen?.id ?? 'none', ...args], { timeout: 400_000 });
}

for (const { name, mount, args, putBack, twice } of cards) {
  begin(name);
  const device = `/dev/${devicesNow(slots).get(name)}`;
  let place = device;
  if (mount) {
    place = `/mnt/${name}`;
    mkdirSync(place, { recursive: true });
    spawnSync('mount', ['-t', 'vfat', device, place]);
  }
  rmSync(journals, { recursive: true, force: true });
  const answers = { tested: testCard(device, place, args), kept: keptPoints() };
  if (putBack !== undefined) {
    until(() => !devicesNow(slots).has(name));
    ask({ reader: name, put: putBack });
    until(() => devicesNow(slots).has(name));
    place = `/dev/${devicesNow(slots).get(name)}`;
  }
  if (putBack !== undefined || twice) {
    answers.again = testCard(place, place, args);
    answers.keptAfterwards = keptPoints();
  }
  writeFileSync(join(share, `capacity-${name}.json`), JSON.stringify(answers));
}
