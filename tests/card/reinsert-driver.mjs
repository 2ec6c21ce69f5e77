// Runs inside the guest: `prepare` on mounted cards that this user may neither open, unmount nor mount, so that they must be
// taken out and put back. Does what a person at the reader and a desktop would do, and leaves what the tool answered.
// Judges nothing.

import { spawn, spawnSync } from 'node:child_process';
import { appendFileSync, cpSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ask, begin, call, devicesNow, share, waitForCards } from './guest-cards.mjs';

const user = 1000;
const { scenarios } = JSON.parse(readFileSync(join(share, 'scenarios.json'), 'utf8'));
const workspace = '/tmp/workspace-user';
cpSync(join(share, 'workspace'), workspace, { recursive: true });
spawnSync('chown', ['-R', `${user}:${user}`, workspace]);
waitForCards([], scenarios.length);

// The tool asks nobody where there is no terminal; what it would show there is read from a pipe here.
const asTerminal = '/tmp/as-terminal.cjs';
writeFileSync(asTerminal, 'process.stdin.isTTY = true; process.stderr.isTTY = true;\n');

const pause = (ms) => new Promise((resolve) => setTimeout(resolve, ms));

const diskOf = (name) => devicesNow([]).get(name);

async function until(holds) {
  for (let i = 0; i < 300 && !holds(); i++) await pause(100);
}

/** By root, for the user: who then may not unmount it. */
function mountFor(name, place, locked) {
  mkdirSync(place, { recursive: true });
  const options = `uid=${user},gid=${user}${locked ? ',ro' : ''}`;
  spawnSync('mount', ['-t', 'vfat', '-o', options, `/dev/${diskOf(name)}`, place]);
}

/** By the user, as on a desktop: who then may unmount it. */
function mountByUser(name, place) {
  mkdirSync(place, { recursive: true });
  appendFileSync(
    '/etc/fstab',
    `/dev/${diskOf(name)} ${place} vfat users,noauto,uid=${user},gid=${user} 0 0\n`,
  );
  spawnSync('mount', [place], { uid: user, gid: user });
}

async function play({ name, put, locked, held, from }) {
  begin(name);
  const place = `/mnt/${name}`;
  mountFor(name, place, false);
  writeFileSync(join(place, 'note.txt'), 'a note\n');
  spawnSync('sync');
  const device = `/dev/${diskOf(name)}`;
  const id = call(['cards'], { workspace }).json?.cards?.find((one) => one.device === device)?.id ?? 'none';
  const args = [
    'prepare',
    place,
    '--for',
    'rill-40',
    '--as',
    'tester',
    '--confirm',
    id,
    '--from',
    from,
    '--json',
  ];
  const tool = spawn('node', [join(share, 'tool/bin/slotproof.js'), '--workspace', workspace, ...args], {
    uid: user,
    gid: user,
    env: { ...process.env, HOME: '/tmp', NODE_OPTIONS: `--require ${asTerminal}` },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  let stdout = '';
  let stderr = '';
  let isOut = false;
  let isBack = false;
  tool.stdout.on('data', (data) => (stdout += data));
  tool.stderr.on('data', (data) => (stderr += data));
  const ended = new Promise((resolve) => tool.once('close', resolve));
  let exit;
  void ended.then((code) => {
    exit = code;
  });
  for (let i = 0; i < 1800 && exit === undefined; i++) {
    await pause(100);
    if (!isOut && stderr.includes('take it out.')) {
      isOut = true;
      spawnSync('umount', [place]);
      ask({ reader: name });
      await until(() => diskOf(name) === undefined);
    }
    if (isOut && !isBack && stderr.includes('Put it back in now.')) {
      isBack = true;
      if (put === null) {
        // Nobody puts it back; the person gives up.
        await pause(3000);
        tool.kill('SIGINT');
        continue;
      }
      ask({ reader: name, put, locked });
      await until(() => diskOf(name) !== undefined);
      await pause(500);
      if (held || locked) mountFor(name, `${place}-again`, locked);
      else mountByUser(name, `${place}-again`);
    }
  }
  tool.kill('SIGKILL');
  await ended;
  spawnSync('umount', ['-l', `${place}-again`]);
  let json = null;
  try {
    json = JSON.parse(stdout);
  } catch {}
  const prepared = { exit, json, stdout: json === null ? stdout : '', stderr };
  writeFileSync(join(share, `${name}.json`), JSON.stringify({ prepared, isOut, isBack }));
}

for (const scenario of scenarios) await play(scenario);
