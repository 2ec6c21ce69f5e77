// `prepare` on mounted cards in the slots and readers of a real kernel, by a user who may not open them, and on exFAT:
// sound cards and ones that fail in every way a card can. Whatever it says, `ready` is true only if a stock tool, on this
// side, then reads the firmware file from what the card holds.

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
const cardBytes = 64 * MiB;
const bootSeconds = 900;
const image = firmware(6_000_123);

interface Scenario {
  readonly name: string;
  readonly format: 'fat16' | 'fat32' | 'exfat';
  readonly reader: GuestCard['reader'];
  readonly who?: 'root';
  readonly writeProtected?: true;
  readonly faults?: GuestCard['faults'];
  readonly realBytes?: number;
  readonly exits: readonly number[];
}

const failing = [3, 5, 6];
const fault = (name: string, faults: GuestCard['faults'], more: Partial<Scenario> = {}): Scenario => ({
  name,
  format: 'fat16',
  reader: 'usb',
  ...(faults && { faults }),
  exits: failing,
  ...more,
});

const allScenarios: readonly Scenario[] = [
  { name: 'files-slot', format: 'fat16', reader: 'slot', exits: [0] },
  { name: 'files-slot-exfat', format: 'exfat', reader: 'slot', exits: [0] },
  fault('files-slot-pulled', { pullAfterWritten: 2 * MiB }, { reader: 'slot' }),
  fault('files-slot-dropped', { dropWritesAfter: 2 * MiB }, { reader: 'slot' }),
  { name: 'files-usb', format: 'fat32', reader: 'usb', exits: [0] },
  { name: 'files-usb-exfat', format: 'exfat', reader: 'usb', exits: [0] },
  { name: 'files-usb-exfat-root', format: 'exfat', reader: 'usb', who: 'root', exits: [0] },
  { name: 'files-protected', format: 'fat16', reader: 'usb', writeProtected: true, exits: [6] },
  fault('files-pulled-at-once', { pullAfterWritten: 4096 }),
  fault('files-pulled', { pullAfterWritten: 2 * MiB }),
  fault('files-pulled-reading', { pullAfterRead: 4 * MiB }),
  fault('files-write-fails', { failWritesAt: 3 * MiB }),
  fault('files-read-fails', { failReadsAt: 3 * MiB }),
  fault('files-dropped', { dropWritesAfter: 2 * MiB }),
  // Every byte of the image is kept; what leads to it is not.
  fault('files-dropped-late', { dropWritesAfter: 6_010_000 }),
  fault('files-flipped', { flipReadsAt: 3 * MiB }),
  fault('files-fake', { saysBytes: cardBytes }, { realBytes: 4 * MiB }),
  fault('files-exfat-dropped', { dropWritesAfter: 6_001_000 }, { format: 'exfat' }),
  fault('files-exfat-root-dropped', { dropWritesAfter: 6_001_000 }, { format: 'exfat', who: 'root' }),
];

const scenarios = chosenScenarios(allScenarios);
const share = temporaryFolder();

function makeCard({ name, format, realBytes }: Scenario, number: number): string {
  const path = join(share, '..', `${name}-${number}.img`);
  writeFileSync(path, '');
  truncateSync(path, cardBytes);
  const id = (0x2000_0000 + number).toString(16);
  if (format === 'fat16') execFileSync('mkfs.vfat', ['-F', '16', '-i', id, path]);
  if (format === 'fat32') execFileSync('mkfs.vfat', ['-F', '32', '-s', '1', '-i', id, path]);
  if (format === 'exfat') execFileSync('mkfs.exfat', [path]);
  if (realBytes !== undefined) truncateSync(path, realBytes);
  return path;
}

const paths = new Map(scenarios.map((one, number) => [one.name, makeCard(one, number)]));
const pathOf = (name: string) => paths.get(name) ?? '';

function holdsFirmware(path: string, format: Scenario['format']): boolean {
  const found = fileOnCard(path, imageName, format === 'exfat' ? 'exfat' : 'fat');
  return Buffer.compare(found ?? Buffer.alloc(0), image) === 0;
}

interface Answers {
  readonly mounted: string;
  readonly prepared: { exit: number; json: any; stdout: string; stderr: string };
  readonly checked: { exit: number; json: any; stdout: string; stderr: string };
}
const answers = new Map<string, Answers>();

beforeAll(
  async () => {
    if (scenarios.length === 0) return;
    const rule =
      '{ fileSystems: [fat32, fat16, exfat], partitionTables: [mbr, none], capacity: { min: 1MB, max: 4GB } }';
    cpSync(makeCardWorkspace(rule, [{ version: '1.0', image }]).folder, share, { recursive: true });
    copyDriver('by-files-driver.mjs', share);
    copyTool(share);
    // The user inside reads the tool from here, too.
    execFileSync('chmod', ['-R', 'a+rX', share]);
    writeFileSync(
      join(share, 'scenarios.json'),
      JSON.stringify({
        readers: scenarios.filter(({ reader }) => reader === 'usb').map(({ name }) => name),
        slots: scenarios.filter(({ reader }) => reader === 'slot').map(({ name }) => name),
        scenarios: scenarios.map(({ name, format, who }) => ({
          name,
          fileSystem: format === 'exfat' ? 'exfat' : 'vfat',
          who: who ?? 'user',
          from: `/mnt/share/download-1.0/${imageName}`,
        })),
      }),
    );
    const cards = scenarios.map(
      ({ name, reader, faults, writeProtected }): GuestCard => ({
        name,
        image: pathOf(name),
        reader,
        ...(faults && { faults }),
        ...(writeProtected && { writeProtected }),
      }),
    );
    const said = await runInGuest(share, cards, bootSeconds);
    for (const { name } of scenarios) {
      const path = join(share, `${name}.json`);
      if (!existsSync(path)) throw new Error(`the guest did not come to ${name}:\n${said.slice(-4000)}`);
      answers.set(name, JSON.parse(readFileSync(path, 'utf8')));
    }
  },
  (bootSeconds + 600) * 1000,
);

describe.each(scenarios.map((one) => [one.name, one] as const))('%s', (name, scenario) => {
  const said = () => {
    const found = answers.get(name);
    if (found === undefined) throw new Error(`nothing was played of ${name}`);
    return found;
  };

  test('ends as it must, and says ready only of what a stock tool finds on the card', () => {
    const { exit, json, stdout, stderr } = said().prepared;
    expect(
      scenario.exits,
      `${said().mounted}${stdout}${stderr}${JSON.stringify(json)}\nPlay it again: SLOTPROOF_CARD=${name} npm run test:card`,
    ).toContain(exit);
    const saysReady = json?.verdict === 'ready';
    expect(saysReady).toBe(exit === 0);
    if (saysReady) {
      expect(holdsFirmware(pathOf(name), scenario.format)).toBe(true);
      expect(json.readBack.method).toBe('direct');
      expect(json.mayPull).toBe(true);
      expect(json.kept.map((one: { path: string }) => one.path)).toEqual(['note.txt']);
    } else {
      const sentence = json?.error?.summary ?? json?.findings?.at(-1)?.summary;
      expect(sentence).toMatch(/^[A-Z][^\n]{10,400}$/);
      expect(json?.entry ?? null).toBeNull();
    }
  });

  test('check, asked next, says ready only of what is there', () => {
    const { exit, json } = said().checked;
    expect(json?.verdict === 'ready').toBe(exit === 0);
    if (json?.verdict === 'ready') expect(holdsFirmware(pathOf(name), scenario.format)).toBe(true);
  });
});

test.skipIf(!allArePlayed).each(['fat16', 'exfat'] as const)(
  'the judge sees a card that holds one wrong bit: %s',
  (format) => {
    const name = format === 'exfat' ? 'files-usb-exfat' : 'files-slot';
    const path = join(share, '..', `judge-${format}.img`);
    copyFileSync(pathOf(name), path);
    expect(holdsFirmware(path, format)).toBe(true);
    const bytes = readFileSync(path);
    const at = bytes.indexOf(Buffer.from(image.subarray(0, 512)));
    bytes[at + 3000] = (bytes[at + 3000] ?? 0) ^ 1;
    writeFileSync(path, bytes);
    expect(holdsFirmware(path, format)).toBe(false);
  },
);
