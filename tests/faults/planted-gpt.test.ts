// Faults in GUID partition tables (UEFI specification, section 5): one each, on a card whose one partition is ready. Each
// is told by its code; sgdisk is asked as well, and where it finds no fault the reason stands beside it.

import { spawnSync } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { checkCard } from '../../src/card/check/check-card.ts';
import { examineCard } from '../../src/card/look/examine-card.ts';
import { makeCardBytes, temporaryFolder } from '../support/card-images.ts';
import { cardRule, firmwareBytes, releaseFor } from '../support/card-rule.ts';
import { memoryBlocks } from '../support/memory-blocks.ts';

const MiB = 2 ** 20;
const image = firmwareBytes(5000);
const made = makeCardBytes({
  sizeBytes: 6 * MiB,
  table: 'gpt',
  bits: 16,
  sectorsPerCluster: 1,
  startSector: 2048,
  lengthSectors: 8192,
  files: [{ path: 'RILL40.FWU', bytes: image }],
});
const lastLba = made.length / 512 - 1;
const folder = temporaryFolder();

/** Two copies of a table, by their own few lines of arithmetic. */
class GptPlant {
  readonly bytes: Uint8Array;
  readonly view: DataView;
  constructor(bytes: Uint8Array) {
    this.bytes = bytes;
    this.view = new DataView(bytes.buffer);
  }
  /** Byte offset of a header. */
  header(copy: 1 | 2): number {
    return (copy === 1 ? 1 : lastLba) * 512;
  }
  /** Byte offset of an entry, from 1. */
  entry(copy: 1 | 2, number: number): number {
    return Number(this.view.getBigUint64(this.header(copy) + 72, true)) * 512 + (number - 1) * 128;
  }
  set64(at: number, value: number): void {
    this.view.setBigUint64(at, BigInt(value), true);
  }
  /** Both check sums of a copy, after a change that they cover. */
  seal(...copies: (1 | 2)[]): void {
    for (const copy of copies) {
      const at = this.header(copy);
      const count = this.view.getUint32(at + 80, true) * this.view.getUint32(at + 84, true);
      this.view.setUint32(
        at + 88,
        crc32(this.bytes.subarray(this.entry(copy, 1), this.entry(copy, 1) + count)),
        true,
      );
      this.view.setUint32(at + 16, 0, true);
      this.view.setUint32(
        at + 16,
        crc32(this.bytes.subarray(at, at + this.view.getUint32(at + 12, true))),
        true,
      );
    }
  }
  /** The same in both copies, sealed. */
  both(change: (copy: 1 | 2) => void): void {
    for (const copy of [1, 2] as const) change(copy);
    this.seal(1, 2);
  }
}

interface Fault {
  readonly what: string;
  readonly code: string;
  readonly severity: 'stop' | 'warn';
  readonly plant: (at: GptPlant) => void;
  readonly unseen?: string;
}

const damaged = (what: string, plant: Fault['plant'], unseen?: string): Fault => ({
  what,
  code: 'partition-table-not-allowed',
  severity: 'stop',
  plant,
  ...(unseen === undefined ? {} : { unseen }),
});
const differs = (what: string, plant: Fault['plant'], unseen?: string): Fault => ({
  what,
  code: 'gpt-copy-differs',
  severity: 'warn',
  plant,
  ...(unseen === undefined ? {} : { unseen }),
});
const odd = (what: string, plant: Fault['plant'], unseen?: string): Fault => ({
  what,
  code: 'gpt-protection-odd',
  severity: 'warn',
  plant,
  ...(unseen === undefined ? {} : { unseen }),
});
/** Puts a second partition into both copies. */
const second = (at: GptPlant, first: number, last: number) =>
  at.both((copy) => {
    at.bytes.copyWithin(at.entry(copy, 2), at.entry(copy, 1), at.entry(copy, 1) + 128);
    at.bytes[at.entry(copy, 2) + 16] = 0x77;
    at.set64(at.entry(copy, 2) + 32, first);
    at.set64(at.entry(copy, 2) + 40, last);
  });

const faults: readonly Fault[] = [
  damaged('a wrong check sum over the first header', (at) => {
    at.bytes[at.header(1) + 17] = (at.bytes[at.header(1) + 17] ?? 0) ^ 1;
  }),
  damaged('one bit of the first header', (at) => {
    at.bytes[at.header(1) + 60] = (at.bytes[at.header(1) + 60] ?? 0) ^ 1;
  }),
  damaged('one bit of the first entries', (at) => {
    at.bytes[at.entry(1, 1) + 60] = (at.bytes[at.entry(1, 1) + 60] ?? 0) ^ 1;
  }),
  damaged('no signature of the first header', (at) => {
    at.bytes[at.header(1)] = 0;
  }),
  damaged('a first header that was written for another sector', (at) => {
    at.set64(at.header(1) + 24, 7);
    at.seal(1);
  }),
  damaged('another partition beside it in sector 0', (at) => {
    at.bytes[462 + 4] = 0x0c;
    at.view.setUint32(462 + 8, 2048, true);
    at.view.setUint32(462 + 12, 8192, true);
  }),
  damaged('a partition that begins before the first sector for partitions', (at) =>
    at.both((copy) => at.set64(at.header(copy) + 40, 4000)),
  ),
  damaged(
    'entries of 192 bytes, no power of two',
    (at) => at.both((copy) => at.view.setUint32(at.header(copy) + 84, 192, true)),
    'it reads what it can of them',
  ),
  damaged('sectors for partitions where the entries are', (at) =>
    at.both((copy) => at.set64(at.header(copy) + 40, 20)),
  ),
  damaged('sectors for partitions beyond the card', (at) =>
    at.both((copy) => at.set64(at.header(copy) + 48, lastLba + 1)),
  ),
  damaged(
    'a protection that begins at sector 2, so that the table is not looked for',
    (at) => at.view.setUint32(446 + 8, 2, true),
    'it goes by the type alone',
  ),
  damaged('two that overlap', (at) => second(at, 9000, 11_500)),
  differs('one bit of the second header', (at) => {
    at.bytes[at.header(2) + 60] = (at.bytes[at.header(2) + 60] ?? 0) ^ 1;
  }),
  differs('one bit of the second entries', (at) => {
    at.bytes[at.entry(2, 1) + 60] = (at.bytes[at.entry(2, 1) + 60] ?? 0) ^ 1;
  }),
  differs('no second copy', (at) => at.bytes.fill(0, (lastLba - 32) * 512)),
  differs('a second copy with another partition', (at) => {
    at.set64(at.entry(2, 1) + 40, 10_000);
    at.seal(2);
  }),
  differs('a second copy of another card', (at) => {
    at.bytes[at.header(2) + 56] = 0x99;
    at.seal(2);
  }),
  odd(
    'a protection of one sector',
    (at) => at.view.setUint32(446 + 12, 1, true),
    'it goes by the type alone',
  ),
  odd(
    'a protection that is active',
    (at) => {
      at.bytes[446] = 0x80;
    },
    'it goes by the type alone',
  ),
];

async function check(bytes: Uint8Array) {
  const blocks = memoryBlocks(bytes);
  const rule = cardRule({ partitionTables: ['gpt', 'mbr'] });
  const wanted = { release: releaseFor(image), rule };
  return checkCard(examineCard(blocks), blocks, { wanted, known: [], writeProtected: false });
}

function sgdiskSees(bytes: Uint8Array): boolean {
  const path = join(folder, 'table.img');
  writeFileSync(path, bytes);
  const { stdout, stderr } = spawnSync('sgdisk', ['-v', path], { encoding: 'utf8' });
  return (
    !/No problems found/.test(`${stdout}${stderr}`) ||
    /CAUTION|Warning!.*(?:CRC|backup)/i.test(`${stdout}${stderr}`)
  );
}

test('is ready, and sgdisk finds no problem, before anything is planted', async () => {
  const checked = await check(made.slice());
  expect([checked.verdict, checked.findings]).toEqual(['ready', []]);
  expect(sgdiskSees(made)).toBe(false);
});

describe('planted', () => {
  test.each(faults.map((fault) => [`${fault.what} -> ${fault.code}`, fault] as const))(
    '%s',
    async (_, fault) => {
      const bytes = made.slice();
      fault.plant(new GptPlant(bytes));
      const checked = await check(bytes);
      const told = checked.findings
        .filter(({ severity }) => severity === fault.severity)
        .map(({ code }) => code);
      expect(told).toContain(fault.code);
      expect(checked.verdict).toBe(fault.severity === 'stop' ? 'unfit' : 'ready');
      expect(sgdiskSees(bytes)).toBe(fault.unseen === undefined);
    },
  );

  test('entries of 256 bytes are read, as the specification lets them be', async () => {
    const bytes = made.slice();
    const at = new GptPlant(bytes);
    for (const copy of [1, 2] as const) {
      const first = at.entry(copy, 1);
      at.bytes.fill(0, first + 128, first + 128 * 128);
      at.view.setUint32(at.header(copy) + 80, 64, true);
      at.view.setUint32(at.header(copy) + 84, 256, true);
    }
    at.seal(1, 2);
    expect((await check(bytes)).verdict).toBe('ready');
  });

  test('a table behind a damaged sector 0 is told, not used in silence', async () => {
    const bytes = made.slice();
    bytes.fill(0, 0, 512);
    const checked = await check(bytes);
    expect(checked.verdict).toBe('unfit');
    expect(checked.findings.map(({ code }) => code)).toContain('partition-table-not-allowed');
  });
});
