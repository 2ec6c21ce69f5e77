// `prepare` on cards in the slots and readers of a real kernel, sound ones and ones that fail in every way a card can.
// Whatever it says, `ready` is true only if mtools, on this side, then reads the firmware file from what the card holds.

import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { copyFileSync, cpSync, existsSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { copyDriver, copyTool, type GuestCard, runInGuest } from '../support/card-guest.ts';
import { temporaryFolder } from '../support/card-images.ts';
import { imageName, makeCardWorkspace } from '../support/card-workspace.ts';
import { allArePlayed, chosenScenarios } from '../support/chosen-scenarios.ts';

const MiB = 2 ** 20;
const cardBytes = 64 * MiB;
const bootSeconds = 900;

/** No two sectors alike, so that one in the place of another is told. */
function firmware(length: number): Uint8Array {
  const bytes = new Uint8Array(length);
  for (let at = 0; at < length; at += 32)
    bytes.set(
      createHash('sha256')
        .update(String(at))
        .digest()
        .subarray(0, Math.min(32, length - at)),
      at,
    );
  return bytes;
}

type Format = 'fat16' | 'fat32' | 'exfat' | 'blank';

interface Scenario {
  readonly name: string;
  readonly format: Format;
  readonly reader: GuestCard['reader'];
  readonly mount?: true;
  readonly fresh?: true;
  /** The drive that the record is on is full: before the tool begins, or once the card was written to. */
  readonly full?: 'before' | 'written';
  readonly writeProtected?: true;
  readonly faults?: GuestCard['faults'];
  /** How many bytes there really are. */
  readonly realBytes?: number;
  /** Exit codes that may be: 0 alone for a sound card. */
  readonly exits: readonly number[];
}

const failing = [3, 5, 6];

const allScenarios: readonly Scenario[] = [
  { name: 'slot-mounted', format: 'fat16', reader: 'slot', mount: true, exits: [0] },
  { name: 'slot-fresh', format: 'blank', reader: 'slot', fresh: true, exits: [0] },
  {
    name: 'slot-pulled',
    format: 'fat16',
    reader: 'slot',
    faults: { pullAfterWritten: 2 * MiB },
    exits: failing,
  },
  {
    name: 'slot-dropped',
    format: 'fat16',
    reader: 'slot',
    faults: { dropWritesAfter: 2 * MiB },
    exits: failing,
  },
  { name: 'usb-own-format', format: 'fat32', reader: 'usb', exits: [0] },
  { name: 'usb-mounted', format: 'fat32', reader: 'usb', mount: true, exits: [0] },
  { name: 'usb-fresh', format: 'fat16', reader: 'usb', fresh: true, exits: [0] },
  { name: 'usb-exfat-fresh', format: 'exfat', reader: 'usb', fresh: true, exits: [0] },
  { name: 'slot-record-full', format: 'fat16', reader: 'slot', full: 'before', exits: [7] },
  { name: 'slot-record-fills', format: 'fat16', reader: 'slot', full: 'written', exits: [7] },
  { name: 'usb-protected', format: 'fat16', reader: 'usb', writeProtected: true, exits: [6] },
  {
    name: 'usb-pulled-at-once',
    format: 'fat16',
    reader: 'usb',
    faults: { pullAfterWritten: 1 },
    exits: failing,
  },
  {
    name: 'usb-pulled',
    format: 'fat16',
    reader: 'usb',
    faults: { pullAfterWritten: 2 * MiB },
    exits: failing,
  },
  {
    name: 'usb-pulled-reading',
    format: 'fat16',
    reader: 'usb',
    faults: { pullAfterRead: 4 * MiB },
    exits: failing,
  },
  {
    name: 'usb-write-fails',
    format: 'fat16',
    reader: 'usb',
    faults: { failWritesAt: 3 * MiB },
    exits: failing,
  },
  {
    name: 'usb-read-fails',
    format: 'fat16',
    reader: 'usb',
    faults: { failReadsAt: 3 * MiB },
    exits: failing,
  },
  { name: 'usb-dead', format: 'fat16', reader: 'usb', faults: { failWritesAfter: 4 * MiB }, exits: failing },
  {
    name: 'usb-dropped',
    format: 'fat16',
    reader: 'usb',
    faults: { dropWritesAfter: 2 * MiB },
    exits: failing,
  },
  { name: 'usb-flipped', format: 'fat16', reader: 'usb', faults: { flipReadsAt: 3 * MiB }, exits: failing },
  {
    name: 'usb-fake',
    format: 'fat16',
    reader: 'usb',
    fresh: true,
    faults: { saysBytes: cardBytes },
    realBytes: 4 * MiB,
    exits: failing,
  },
  {
    name: 'usb-fake-later',
    format: 'fat16',
    reader: 'usb',
    fresh: true,
    faults: { saysBytes: cardBytes },
    realBytes: 7 * MiB,
    exits: failing,
  },
];

const scenarios = chosenScenarios(allScenarios);

const image = firmware(6_000_123);
const share = temporaryFolder();

function makeCard({ name, format, realBytes }: Scenario, number: number): string {
  const path = join(share, '..', `${name}-${number}.img`);
  writeFileSync(path, '');
  truncateSync(path, cardBytes);
  const id = (0x1000_0000 + number).toString(16);
  if (format === 'fat16') execFileSync('mkfs.vfat', ['-F', '16', '-i', id, path]);
  if (format === 'fat32') execFileSync('mkfs.vfat', ['-F', '32', '-s', '1', '-i', id, path]);
  if (format === 'exfat') execFileSync('mkfs.exfat', [path]);
  if (realBytes !== undefined) truncateSync(path, realBytes);
  return path;
}

/** By mtools: the partition of the first table entry, else the whole card. */
function fileOnCard(path: string): Uint8Array | undefined {
  for (const drive of [`${path}@@4M`, path]) {
    try {
      const options = {
        maxBuffer: 2 ** 26,
        stdio: ['ignore', 'pipe', 'ignore'] as ['ignore', 'pipe', 'ignore'],
      };
      return execFileSync('mcopy', ['-n', '-i', drive, `::/${imageName}`, '-'], options);
    } catch {}
  }
  return undefined;
}

const holdsFirmware = (path: string) => Buffer.compare(fileOnCard(path) ?? Buffer.alloc(0), image) === 0;

interface Answers {
  readonly checked?: any;
  readonly cards: any;
  readonly prepared: { exit: number; json: any; stdout: string; stderr: string };
}

async function play(
  cards: readonly GuestCard[],
  chosen: readonly Scenario[],
  fresh: boolean,
): Promise<Map<string, Answers>> {
  const name = (one: Scenario) => (fresh ? `again-${one.name}` : one.name);
  writeFileSync(
    join(share, 'scenarios.json'),
    JSON.stringify({
      readers: cards.filter(({ reader }) => reader === 'usb').map((card) => card.name),
      slots: cards.filter(({ reader }) => reader === 'slot').map((card) => card.name),
      scenarios: chosen.map((one) => ({
        name: name(one),
        card: one.name,
        mount: one.mount === true && !fresh,
        full: fresh ? undefined : one.full,
        args: ['--from', `/mnt/share/download-1.0/${imageName}`, ...(one.fresh || fresh ? ['--fresh'] : [])],
      })),
    }),
  );
  const said = await runInGuest(share, cards, bootSeconds);
  return new Map(
    chosen.map((one) => {
      const path = join(share, `${name(one)}.json`);
      if (!existsSync(path)) throw new Error(`the guest did not come to ${name(one)}:\n${said.slice(-4000)}`);
      return [one.name, JSON.parse(readFileSync(path, 'utf8'))];
    }),
  );
}

let first: Map<string, Answers>;
let afterFirst: Map<string, boolean>;
let again: Map<string, Answers>;
const paths = new Map(scenarios.map((one, number) => [one.name, makeCard(one, number)]));
const pathOf = (name: string) => paths.get(name) ?? '';
const untouched = new Map(
  scenarios.filter(({ full }) => full === 'before').map(({ name }) => [name, readFileSync(pathOf(name))]),
);
const sick = scenarios.filter(({ exits, realBytes }) => exits === failing && realBytes === undefined);

beforeAll(
  async () => {
    if (scenarios.length === 0) return;
    const rule =
      '{ fileSystems: [fat32, fat16], partitionTables: [mbr, none], capacity: { min: 1MB, max: 4GB }, maxClusterBytes: 32KiB }';
    const made = makeCardWorkspace(rule, [{ version: '1.0', image }]);
    cpSync(made.folder, share, { recursive: true });
    copyDriver('guest-driver.mjs', share);
    copyTool(share);
    const cards = scenarios.map(
      ({ name, reader, faults, writeProtected }): GuestCard => ({
        name,
        image: pathOf(name),
        reader,
        ...(faults && { faults }),
        ...(writeProtected && { writeProtected }),
      }),
    );
    first = await play(cards, scenarios, false);
    afterFirst = new Map(scenarios.map(({ name }) => [name, holdsFirmware(pathOf(name))]));
    // The same cards, put back, and nothing is wrong any more.
    if (sick.length === 0) return;
    again = await play(
      sick.map(({ name, reader }) => ({ name, image: pathOf(name), reader })),
      sick,
      true,
    );
  },
  2 * (bootSeconds + 600) * 1000,
);

function preparedIn(answers: ReadonlyMap<string, Answers>, name: string): Answers['prepared'] {
  const found = answers.get(name);
  if (found === undefined) throw new Error(`nothing was played of ${name}`);
  return found.prepared;
}

describe.each(scenarios.map((one) => [one.name, one] as const))('%s', (name, scenario) => {
  const prepared = () => preparedIn(first, name);

  test('is seen, with what tells it from others', () => {
    const seen = first.get(name)?.cards.json.cards as { id: string; usable: boolean; bus: string }[];
    const bus = scenario.reader === 'slot' ? 'mmc' : 'usb';
    expect(seen.some((card) => card.bus === bus)).toBe(true);
    expect(new Set(seen.map(({ id }) => id)).size).toBe(seen.length);
  });

  test('ends as it must, and says ready only of what mtools finds on the card', () => {
    const { exit, json, stdout, stderr } = prepared();
    expect(
      scenario.exits,
      `${stdout}${stderr}${JSON.stringify(json)}\nPlay it again: SLOTPROOF_CARD=${name} npm run test:card`,
    ).toContain(exit);
    const saysReady = json?.verdict === 'ready';
    expect(saysReady).toBe(exit === 0);
    if (saysReady) {
      expect(afterFirst.get(name)).toBe(true);
      expect(json.readBack.method).toBe('direct');
      expect(json.mayPull).toBe(true);
    } else {
      const sentence = json?.error?.summary ?? json?.findings?.at(-1)?.summary;
      expect(sentence).toMatch(/^[A-Z][^\n]{10,400}$/);
      expect(json?.entry ?? null).toBeNull();
    }
  });
});

const onFullDrive = scenarios.filter(({ full }) => full !== undefined);

test.each(onFullDrive.map(({ name, full }) => [name, full] as const))(
  '%s: the card is as it was where nothing was begun, else ready and said not to be on record',
  (name, full) => {
    const { error } = preparedIn(first, name).json;
    const all = JSON.stringify(error);
    expect(error.code, all).toBe('record-disk-full');
    const says = 'The card is ready, but that is not on record.';
    if (full === 'before') {
      expect(error.summary).not.toContain(says);
      expect(readFileSync(pathOf(name)).equals(untouched.get(name) ?? Buffer.alloc(0)), all).toBe(true);
    } else {
      expect(error.summary, all).toContain(says);
      expect(afterFirst.get(name), all).toBe(true);
    }
  },
);

const whole = test.skipIf(!allArePlayed);

test.each(sick.map(({ name }) => name))('%s, put back sound, can be laid out anew', (name) => {
  const { exit, json, stderr } = preparedIn(again, name);
  expect(exit, `${stderr}${JSON.stringify(json)}`).toBe(0);
  expect(json.verdict).toBe('ready');
  expect(holdsFirmware(pathOf(name))).toBe(true);
});

whole('a mounted card is looked at where it is mounted; that it is mounted is no fault of the card', () => {
  const json = first.get('usb-mounted')?.checked.json;
  const codes = json.findings.map((one: { code: string }) => one.code);
  expect(codes).toContain('not-examined');
  expect(codes).not.toContain('volume-dirty');
  expect(json.card.files.map((one: { path: string }) => one.path)).toContain('note.txt');
});

whole('what a person had on a mounted card is kept', () => {
  const { json } = preparedIn(first, 'slot-mounted');
  expect(json.kept.map((one: { path: string }) => one.path)).toEqual(['note.txt']);
});

whole('the judge sees a card that holds one wrong bit', () => {
  const path = join(share, '..', 'judge.img');
  copyFileSync(pathOf('usb-fresh'), path);
  expect(holdsFirmware(path)).toBe(true);
  const bytes = readFileSync(path);
  const at = bytes.indexOf(Buffer.from(image.subarray(0, 512)));
  bytes[at + 3000] = (bytes[at + 3000] ?? 0) ^ 1;
  writeFileSync(path, bytes);
  expect(holdsFirmware(path)).toBe(false);
});
