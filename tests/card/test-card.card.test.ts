// `test-card` on cards in the slots and readers of a real kernel: sound ones, ones that claim more than they hold, and ones
// that fail. What a person has on them is read by mtools afterwards, on this side, from what the cards hold.

import { execFileSync } from 'node:child_process';
import { copyFileSync, existsSync, readFileSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeAll, describe, expect, test } from 'vitest';
import { copyDriver, copyTool, type GuestCard, runInGuest } from '../support/card-guest.ts';
import { temporaryFolder } from '../support/card-images.ts';
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
}

const small = 3_000_001;
const wraps = { saysBytes: cardBytes };

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
    says: {},
  },
  {
    name: 'usb-write-fails',
    bits: 16,
    reader: 'usb',
    faults: { failWritesAt: 8 * MiB },
    fileBytes: small,
    exits: [3, 6],
    says: {},
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

/** `SLOTPROOF_CARD=usb-fake` plays that one alone. */
const asked = process.env.SLOTPROOF_CARD;
const scenarios = allScenarios.filter(({ name }) => asked === undefined || name === asked);

const share = temporaryFolder();
const fileName = 'NOTES.DAT';

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
  const file = join(share, '..', fileName);
  writeFileSync(file, fileOf(scenario));
  execFileSync('mcopy', ['-i', path, file, '::/']);
  if (scenario.realBytes !== undefined) truncateSync(path, scenario.realBytes);
  return path;
}

function fileOnCard(path: string): Uint8Array {
  // mtools asks for a card as long as its boot sector says.
  const whole = `${path}.whole`;
  copyFileSync(path, whole);
  truncateSync(whole, cardBytes);
  return execFileSync('mcopy', ['-n', '-i', whole, `::/${fileName}`, '-'], { maxBuffer: 2 ** 27 });
}

const isAsItWas = (scenario: Scenario, path: string) =>
  Buffer.compare(fileOnCard(path), fileOf(scenario)) === 0;

const paths = new Map(scenarios.map((one, number) => [one.name, makeCard(one, number)]));
const pathOf = (name: string) => paths.get(name) ?? '';
const tablesOf = (path: string) => readFileSync(path).subarray(0, 128 * 1024);
const tablesBefore = new Map(scenarios.map(({ name }) => [name, tablesOf(pathOf(name))]));
let said = '';

beforeAll(
  async () => {
    copyDriver('capacity-driver.mjs', share);
    copyTool(share);
    writeFileSync(
      join(share, 'capacity.json'),
      JSON.stringify({
        slots: scenarios.filter(({ reader }) => reader === 'slot').map(({ name }) => name),
        cards: scenarios.map(({ name, mount = false, args = [] }) => ({ name, mount, args })),
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
    said = await runInGuest(share, cards, bootSeconds);
  },
  (bootSeconds + 60) * 1000,
);

describe.each(scenarios.map((one) => [one.name, one] as const))('%s', (name, scenario) => {
  test('is judged as what it is', () => {
    const path = join(share, `capacity-${name}.json`);
    if (!existsSync(path)) throw new Error(`the guest did not come to ${name}:\n${said.slice(-4000)}`);
    const { exit, json, stdout, stderr } = JSON.parse(readFileSync(path, 'utf8'));
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
});

test.skipIf(asked !== undefined)('the judge sees one wrong bit in the file', () => {
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
