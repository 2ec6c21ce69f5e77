// `test-card` on cards in the slots and readers of a real kernel: sound ones, ones that claim more than they hold, and ones
// that fail. What a person has on them is read by mtools afterwards, on this side, from what the cards hold.

import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  truncateSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { copyDriver, copyTool, type GuestCard, runInGuest } from '../support/card-guest.ts';
import { temporaryFolder } from '../support/card-images.ts';
import { allArePlayed, chosenScenarios } from '../support/chosen-scenarios.ts';
import { seededNumbers } from '../support/faulty-blocks.ts';

const MiB = 2 ** 20;
const cardBytes = 64 * MiB;
const bootSeconds = 900;

interface Scenario {
  readonly name: string;
  readonly bits: 16 | 32;
  readonly reader: GuestCard['reader'];
  readonly mount?: true;
  readonly args?: readonly string[];
  readonly faults?: GuestCard['faults'];
  readonly writeProtected?: true;
  /** How many bytes there really are. */
  readonly realBytes?: number;
  readonly fileBytes: number;
  readonly exits: readonly number[];
  readonly says: Readonly<Record<string, unknown>>;
  /** Played once more, with what was wrong with it still wrong. */
  readonly twice?: true;
  /** Put back sound once it was pulled, and played once more. */
  readonly putBack?: true;
  readonly again?: { readonly exit: number; readonly says: Readonly<Record<string, unknown>> };
}

const small = 3_000_001;
const wraps = { saysBytes: cardBytes };
const cardFails = (doing: 'read' | 'write') => ({
  error: expect.objectContaining({
    code: 'card-failed',
    seen: `EIO on ${doing}`,
    next: expect.stringContaining('another'),
  }),
});

const allScenarios: readonly Scenario[] = [
  {
    name: 'usb-sound',
    bits: 16,
    reader: 'usb',
    fileBytes: small,
    exits: [0],
    says: { verdict: 'holds', method: 'direct', claimedBytes: cardBytes, realBytes: cardBytes, findings: [] },
  },
  {
    name: 'slot-sound-full',
    bits: 32,
    reader: 'slot',
    mount: true,
    args: ['--full'],
    fileBytes: small,
    exits: [0],
    says: { verdict: 'holds', method: 'direct', confidence: 1 },
  },
  {
    name: 'usb-fake',
    bits: 16,
    reader: 'usb',
    faults: wraps,
    realBytes: 20 * MiB,
    fileBytes: small,
    exits: [3],
    says: { verdict: 'false-capacity', how: 'begins-again', realBytes: 20 * MiB },
  },
  {
    name: 'usb-fake-beyond-files',
    bits: 16,
    reader: 'usb',
    faults: wraps,
    realBytes: 33 * MiB,
    fileBytes: 31 * MiB,
    exits: [3],
    says: { verdict: 'false-capacity', how: 'begins-again', realBytes: 33 * MiB },
  },
  {
    name: 'slot-drops',
    bits: 16,
    reader: 'slot',
    faults: { dropWritesAfter: 8 * MiB },
    fileBytes: small,
    exits: [3],
    // What is lost depends on how much was written, not on the place: how much it holds cannot be told.
    says: { verdict: expect.stringMatching(/^(failing|false-capacity)$/) },
  },
  {
    name: 'usb-flips',
    bits: 16,
    reader: 'usb',
    faults: { flipReadsAt: 8 * MiB },
    fileBytes: small,
    exits: [3],
    says: { verdict: 'failing', realBytes: null },
  },
  {
    name: 'usb-pulled',
    bits: 16,
    reader: 'usb',
    faults: { pullAfterWritten: 8 * MiB },
    fileBytes: small,
    exits: [6],
    says: { error: expect.objectContaining({ code: expect.stringMatching(/^card-(gone|failed)$/) }) },
    putBack: true,
    again: { exit: 0, says: { verdict: 'holds', findings: [] } },
  },
  {
    name: 'usb-pulled-late',
    bits: 16,
    reader: 'usb',
    args: ['--full'],
    // Slow, so that it was put down how far it had come: that is done every few seconds.
    faults: { pullAfterWritten: 48 * MiB, slowWritesMs: 80 },
    fileBytes: small,
    exits: [6],
    says: { error: expect.objectContaining({ code: expect.stringMatching(/^card-(gone|failed)$/) }) },
    putBack: true,
    again: { exit: 0, says: { verdict: 'holds', findings: [], confidence: 1 } },
  },
  {
    name: 'usb-write-fails',
    bits: 16,
    reader: 'usb',
    faults: { failWritesAt: 8 * MiB },
    fileBytes: small,
    exits: [6],
    says: cardFails('write'),
    twice: true,
    again: { exit: 6, says: cardFails('write') },
  },
  {
    name: 'usb-read-fails',
    bits: 16,
    reader: 'usb',
    faults: { failReadsAt: 8 * MiB },
    fileBytes: small,
    exits: [6],
    says: cardFails('read'),
    twice: true,
    again: { exit: 6, says: cardFails('read') },
  },
  {
    name: 'usb-protected',
    bits: 16,
    reader: 'usb',
    writeProtected: true,
    fileBytes: small,
    exits: [6],
    says: { error: expect.objectContaining({ code: 'write-protected' }) },
  },
];

const scenarios = chosenScenarios(allScenarios);

const share = temporaryFolder();
const fileName = 'NOTES.DAT';
const pictures = [1, 2].map((number) => {
  const random = seededNumbers(number);
  return [`A${number}.JPG`, new Uint8Array(20_000 * number).map(() => random() * 256)] as const;
});

function fileOf({ fileBytes }: Scenario): Uint8Array {
  const random = seededNumbers(fileBytes);
  return new Uint8Array(fileBytes).map(() => random() * 256);
}

function makeCard(scenario: Scenario, number: number): string {
  const path = join(share, '..', `${scenario.name}-${number}.img`);
  writeFileSync(path, '');
  truncateSync(path, cardBytes);
  const format = ['-F', String(scenario.bits), '-i', (0x2000_0000 + number).toString(16)];
  execFileSync('mkfs.vfat', [...format, ...(scenario.bits === 32 ? ['-s', '1'] : []), path]);
  execFileSync('mmd', ['-i', path, '::/PICTURES']);
  for (const [name, bytes] of pictures) {
    const picture = join(share, '..', name);
    writeFileSync(picture, bytes);
    execFileSync('mcopy', ['-i', path, picture, '::/PICTURES/']);
  }
  const file = join(share, '..', fileName);
  writeFileSync(file, fileOf(scenario));
  execFileSync('mcopy', ['-i', path, file, '::/']);
  if (scenario.realBytes !== undefined) truncateSync(path, scenario.realBytes);
  return path;
}

/** mtools asks for a card as long as its boot sector says. */
function wholeCard(path: string): string {
  const whole = `${path}.whole`;
  copyFileSync(path, whole);
  truncateSync(whole, cardBytes);
  return whole;
}

function fileOnCard(path: string): Uint8Array {
  const from = ['-n', '-i', wholeCard(path), `::/${fileName}`, '-'];
  return execFileSync('mcopy', from, { maxBuffer: 2 ** 27 });
}

const isAsItWas = (scenario: Scenario, path: string) =>
  Buffer.compare(fileOnCard(path), fileOf(scenario)) === 0;

/** All that mtools finds on a card: names, sizes, dates, room, and what every file holds; and what fsck.fat says of it. */
function holdingOf(path: string) {
  const whole = wholeCard(path);
  const into = mkdtempSync(join(share, '..', 'files-'));
  const list = spawnSync('mdir', ['-/', '-a', '-i', whole, '::/'], { encoding: 'utf8' });
  spawnSync('mcopy', ['-s', '-n', '-i', whole, '::/*', into]);
  const files = readdirSync(into, { recursive: true, withFileTypes: true })
    .filter((one) => one.isFile())
    .map((one) => join(one.parentPath, one.name))
    .map((one) => [one.slice(into.length), createHash('sha256').update(readFileSync(one)).digest('hex')])
    .sort();
  const fsck = spawnSync('fsck.fat', ['-n', whole], { encoding: 'utf8' }).stdout.replaceAll(whole, '');
  return { list: list.stdout, files, fsck };
}

const paths = new Map(scenarios.map((one, number) => [one.name, makeCard(one, number)]));
const pathOf = (name: string) => paths.get(name) ?? '';
const tablesOf = (path: string) => readFileSync(path).subarray(0, 128 * 1024);
const heldBefore = new Map(scenarios.map(({ name }) => [name, holdingOf(pathOf(name))]));
const tablesBefore = new Map(scenarios.map(({ name }) => [name, tablesOf(pathOf(name))]));
let said = '';
const backName = (name: string) => `${name}-back`;

interface Said {
  readonly exit: number;
  readonly json: any;
  readonly stdout: string;
  readonly stderr: string;
}
interface Answers {
  readonly tested: Said;
  readonly kept: readonly { readonly writtenBytes: number; readonly readBytes: number }[];
  readonly again?: Said;
  readonly keptAfterwards?: readonly unknown[];
}

function answersOf(name: string): Answers {
  const path = join(share, `capacity-${name}.json`);
  if (!existsSync(path)) throw new Error(`the guest did not come to ${name}:\n${said.slice(-4000)}`);
  return JSON.parse(readFileSync(path, 'utf8'));
}

beforeAll(
  async () => {
    if (scenarios.length === 0) return;
    copyDriver('capacity-driver.mjs', share);
    copyTool(share);
    writeFileSync(
      join(share, 'capacity.json'),
      JSON.stringify({
        slots: scenarios.filter(({ reader }) => reader === 'slot').map(({ name }) => name),
        cards: scenarios.map(({ name, mount = false, args = [], twice = false, putBack }) => ({
          name,
          mount,
          args,
          twice,
          ...(putBack && { putBack: backName(name) }),
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
    // The same card, and nothing is wrong with it any more.
    const sound = scenarios
      .filter(({ putBack }) => putBack === true)
      .map(({ name }): GuestCard => ({ name: backName(name), image: pathOf(name), reader: 'pocket' }));
    said = await runInGuest(share, [...cards, ...sound], bootSeconds);
  },
  (bootSeconds + 600) * 1000,
);

describe.each(scenarios.map((one) => [one.name, one] as const))('%s', (name, scenario) => {
  test('is judged as what it is', () => {
    const { exit, json, stdout, stderr } = answersOf(name).tested;
    const again = `Play it again: SLOTPROOF_CARD=${name} npm run test:card`;
    expect(scenario.exits, `${stdout}${stderr}${JSON.stringify(json)}\n${again}`).toContain(exit);
    expect(json, again).toMatchObject({ ...scenario.says });
    expect(json.verdict === 'holds').toBe(exit === 0);
    const sentence = json.error?.summary ?? json.findings.at(-1)?.summary ?? 'Holds, and nothing was found.';
    expect(sentence).toMatch(/^[A-Z][^\n]{10,400}$/);
  });

  test('the file that was on it is as it was', () => {
    expect(isAsItWas(scenario, pathOf(name))).toBe(true);
    if (scenario.mount === undefined)
      expect(Buffer.compare(tablesOf(pathOf(name)), tablesBefore.get(name) ?? Buffer.alloc(0))).toBe(0);
    if (scenario.realBytes === undefined) execFileSync('fsck.fat', ['-n', pathOf(name)]);
  });

  test('all that was on it is on it, and nothing else; what was free is free', () => {
    const held = holdingOf(pathOf(name));
    expect(held.files.map(([file]) => file)).toEqual(['/NOTES.DAT', '/PICTURES/A1.JPG', '/PICTURES/A2.JPG']);
    expect(held).toEqual(heldBefore.get(name));
  });

  test.skipIf(scenario.again === undefined)('tested once more, it goes on only from what was kept', () => {
    const { kept, again, keptAfterwards } = answersOf(name);
    const all = JSON.stringify(answersOf(name));
    expect(again?.exit, all).toBe(scenario.again?.exit);
    expect(again?.json, all).toMatchObject({ ...scenario.again?.says });
    // What fails in the first look leaves nothing to go on from, and nothing is said of going on.
    const [point] = kept;
    if (point === undefined) expect(again?.stderr).not.toContain('goes on');
    else
      expect(again?.stderr, all).toMatch(
        /A test of this card was stopped: [^:]+ written, [^:]+ read\. It goes on from there; --again begins anew\./,
      );
    if (scenario.again?.exit === 0) expect(keptAfterwards, all).toEqual([]);
    if (name === 'usb-pulled-late') expect(point?.writtenBytes, all).toBeGreaterThan(0);
    else expect(kept, all).toEqual([]);
  });
});

test.skipIf(!allArePlayed)('the judge sees one wrong bit in the file', () => {
  const [scenario] = scenarios;
  if (scenario === undefined) throw new Error('no scenario');
  const path = join(share, '..', 'judge.img');
  copyFileSync(pathOf(scenario.name), path);
  const bytes = readFileSync(path);
  const at = bytes.indexOf(Buffer.from(fileOf(scenario).subarray(8192, 8704)));
  expect(at).toBeGreaterThan(0);
  bytes[at + 7] = (bytes[at + 7] ?? 0) ^ 1;
  writeFileSync(path, bytes);
  expect(isAsItWas(scenario, path)).toBe(false);
});

/** Its copy, harmed. */
const damages: readonly (readonly [name: string, harm: (path: string) => void])[] = [
  ['a file that is gone', (path) => execFileSync('mdel', ['-i', path, '::/PICTURES/A1.JPG'])],
  ['a file that was left', (path) => execFileSync('mcopy', ['-i', path, import.meta.filename, '::/LEFT.TS'])],
  ['another name', (path) => execFileSync('mren', ['-i', path, '::/PICTURES/A1.JPG', '::/PICTURES/A3.JPG'])],
  [
    'one wrong bit of a file in a folder',
    (path) => {
      const bytes = readFileSync(path);
      const at = bytes.indexOf(Buffer.from(pictures[1]?.[1].subarray(0, 512) ?? []));
      expect(at).toBeGreaterThan(0);
      bytes[at + 7] = (bytes[at + 7] ?? 0) ^ 1;
      writeFileSync(path, bytes);
    },
  ],
  [
    'free space that is marked as used',
    (path) => {
      const bytes = readFileSync(path);
      bytes.writeUInt16LE(0xffff, bytes.readUInt16LE(14) * 512 + 40_000);
      writeFileSync(path, bytes);
    },
  ],
];

/** One that was tested as a device, and one that was mounted. */
describe.skipIf(!allArePlayed).each(['usb-sound', 'slot-sound-full'])('the judge sees on %s', (name) => {
  mkdirSync(join(share, '..', 'judge'), { recursive: true });
  test.each(damages)('%s', (_, harm) => {
    const path = join(share, '..', 'judge', `${name}.img`);
    copyFileSync(pathOf(name), path);
    expect(holdingOf(path)).toEqual(heldBefore.get(name));
    harm(path);
    expect(holdingOf(path)).not.toEqual(heldBefore.get(name));
  });
});
