// A mounted card whose user may neither open, unmount nor mount it, on a real kernel: it is proved by taking it out and
// putting it back. Whatever is put back, `ready` is said only of a card on which mtools, on this side, finds the firmware file.

import { execFileSync } from 'node:child_process';
import { copyFileSync, cpSync, existsSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { copyDriver, copyTool, type GuestCard, runInGuest } from '../support/card-guest.ts';
import { temporaryFolder } from '../support/card-images.ts';
import { fileOnCard, firmware } from '../support/card-judge.ts';
import { imageName, makeCardWorkspace } from '../support/card-workspace.ts';
import { allArePlayed, chosenScenarios } from '../support/chosen-scenarios.ts';

const MiB = 2 ** 20;
const cardBytes = 32 * MiB;
const bootSeconds = 600;
const image = firmware(2_000_123);

interface Scenario {
  readonly name: string;
  /** What is put in after it was taken out. */
  readonly back: 'itself' | 'twin' | 'stranger' | 'nothing';
  readonly locked?: true;
  /** The system mounts it again, and this user may not unmount it. */
  readonly held?: true;
  readonly exit: number;
  readonly method: string | undefined;
}

const allScenarios: readonly Scenario[] = [
  { name: 'back', back: 'itself', exit: 0, method: 'reinserted' },
  { name: 'back-locked', back: 'itself', locked: true, exit: 0, method: 'reinserted' },
  // The same to look at, and none of what was written is on it.
  { name: 'back-twin', back: 'twin', exit: 3, method: undefined },
  // Read and found right, and yet marked as in use while it is mounted.
  { name: 'back-held', back: 'itself', held: true, exit: 3, method: 'reinserted' },
  { name: 'back-stranger', back: 'stranger', exit: 5, method: undefined },
  { name: 'back-never', back: 'nothing', exit: 130, method: undefined },
];

const scenarios = chosenScenarios(allScenarios);
const share = temporaryFolder();

function makeCard(name: string, number: number): string {
  const path = join(share, '..', `${name}-${number}.img`);
  writeFileSync(path, '');
  // Inside nothing tells the readers apart: cards of one size would be told apart by nobody, and refused.
  truncateSync(path, cardBytes + number * MiB);
  execFileSync('mkfs.vfat', ['-F', '16', '-i', (0x3000_0000 + number).toString(16), path]);
  return path;
}

const paths = new Map(
  [...scenarios.map(({ name }) => name), 'stranger'].map((name, i) => [name, makeCard(name, i)]),
);
const pathOf = (name: string) => paths.get(name) ?? '';
const twin = join(share, '..', 'twin.img');
if (paths.has('back-twin')) copyFileSync(pathOf('back-twin'), twin);
const holdsFirmware = (path: string) =>
  Buffer.compare(fileOnCard(path, imageName, 'fat') ?? Buffer.alloc(0), image) === 0;

interface Answers {
  readonly prepared: { exit: number; json: any; stdout: string; stderr: string };
  readonly isOut: boolean;
  readonly isBack: boolean;
}
const answers = new Map<string, Answers>();
let strangerBefore = '';
const digestOf = (path: string) => execFileSync('sha256sum', [path], { encoding: 'utf8' }).slice(0, 64);

beforeAll(
  async () => {
    if (scenarios.length === 0) return;
    const rule = '{ fileSystems: [fat16], partitionTables: [mbr, none], capacity: { min: 1MB, max: 4GB } }';
    cpSync(makeCardWorkspace(rule, [{ version: '1.0', image }]).folder, share, { recursive: true });
    copyDriver('reinsert-driver.mjs', share);
    copyTool(share);
    // The user inside reads the tool from here, too.
    execFileSync('chmod', ['-R', 'a+rX', share]);
    const putOf = ({ name, back }: Scenario) =>
      ({ itself: name, twin: 'twin', stranger: 'stranger', nothing: null })[back];
    writeFileSync(
      join(share, 'scenarios.json'),
      JSON.stringify({
        scenarios: scenarios.map((one) => ({
          name: one.name,
          put: putOf(one),
          locked: one.locked === true,
          held: one.held === true,
          from: `/mnt/share/download-1.0/${imageName}`,
        })),
      }),
    );
    strangerBefore = digestOf(pathOf('stranger'));
    const cards = scenarios.map(({ name }): GuestCard => ({ name, image: pathOf(name), reader: 'usb' }));
    const pocket: GuestCard[] = [{ name: 'stranger', image: pathOf('stranger'), reader: 'pocket' }];
    if (existsSync(twin)) pocket.push({ name: 'twin', image: twin, reader: 'pocket' });
    const said = await runInGuest(share, [...cards, ...pocket], bootSeconds);
    for (const { name } of scenarios) {
      const path = join(share, `${name}.json`);
      if (!existsSync(path)) throw new Error(`the guest did not come to ${name}:\n${said.slice(-4000)}`);
      answers.set(name, JSON.parse(readFileSync(path, 'utf8')));
    }
  },
  (bootSeconds + 600) * 1000,
);

describe.each(scenarios.map((one) => [one.name, one] as const))('%s', (name, scenario) => {
  test('ends as it must, and says ready only of what mtools finds on the card', () => {
    const said = answers.get(name);
    if (said === undefined) throw new Error(`nothing was played of ${name}`);
    const { exit, json, stdout, stderr } = said.prepared;
    const all = `${stdout}${stderr}${JSON.stringify(json)}\nPlay it again: SLOTPROOF_CARD=${name} npm run test:card`;
    // Nothing is proved by this way unless it was gone this way.
    expect([said.isOut, said.isBack], all).toEqual([true, true]);
    expect(exit, all).toBe(scenario.exit);
    const saysReady = json?.verdict === 'ready';
    expect(saysReady).toBe(scenario.exit === 0);
    if (scenario.method !== undefined) expect(json.readBack.method, all).toBe(scenario.method);
    if (saysReady) expect(holdsFirmware(pathOf(name))).toBe(true);
    else expect(json?.error?.summary ?? json?.findings?.at(-1)?.summary, all).toMatch(/^[A-Z][^\n]{10,400}$/);
  });
});

test.skipIf(!allArePlayed)('the card of somebody else was not written to', () => {
  expect(digestOf(pathOf('stranger'))).toBe(strangerBefore);
});

test.skipIf(!allArePlayed)('the judge sees a card that holds one wrong bit', () => {
  const path = join(share, '..', 'judge-back.img');
  copyFileSync(pathOf('back'), path);
  expect(holdsFirmware(path)).toBe(true);
  const bytes = readFileSync(path);
  const at = bytes.indexOf(Buffer.from(image.subarray(0, 512)));
  bytes[at + 3000] = (bytes[at + 3000] ?? 0) ^ 1;
  writeFileSync(path, bytes);
  expect(holdsFirmware(path)).toBe(false);
});
