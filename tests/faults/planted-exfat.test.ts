// One fault, one test, on exFAT cards that were ready: each must be told by its code and by no other stop, and fsck.exfat is
// asked of each: where it sees the fault as well, it says so here; where it does not, the reason stands beside it.

import { beforeAll, describe, expect, test } from 'vitest';
import { checkCard } from '../../src/card/check/check-card.ts';
import type { CardCode } from '../../src/card/check/finding-codes.ts';
import { examineCard } from '../../src/card/look/examine-card.ts';
import { cardRule, firmwareBytes, releaseFor } from '../support/card-rule.ts';
import { ExfatPlant, fsckExfat, makeExfatBytes } from '../support/exfat-images.ts';
import { memoryBlocks } from '../support/memory-blocks.ts';

const MiB = 2 ** 20;
const image = firmwareBytes(50_000);
const rule = cardRule({
  fileSystems: ['exfat'],
  partitionTables: ['none'],
  capacity: { minBytes: 0, maxBytes: 1e12 },
  onlyFile: false,
});
let made: Uint8Array;

beforeAll(() => {
  made = makeExfatBytes({
    sizeBytes: 8 * MiB,
    label: 'CARD',
    files: [
      { path: 'RILL40.FWU', bytes: image },
      { path: 'NOTES/LIST.TXT', bytes: firmwareBytes(9000, 2), chainedGap: 1 },
      { path: 'NOTES/OTHER.TXT', bytes: firmwareBytes(9000, 3) },
    ],
  });
});

interface Fault {
  readonly what: string;
  readonly code: CardCode;
  readonly severity?: 'warn' | 'note';
  readonly plant: (at: ExfatPlant) => void;
  /** Why fsck.exfat (1.2) calls such a volume clean. */
  readonly unseen?: string;
}

const boot = (what: string, offset: number, value: number, unseen?: string): Fault => ({
  what: `boot sector: ${what}`,
  code: 'boot-sector-bad',
  plant: (at) => {
    at.bytes[at.start + offset] = value;
    at.seal();
  },
  ...(unseen === undefined ? {} : { unseen }),
});

/** `change` gets where the set of that file begins; its checksum is made right again. */
const folder = (what: string, change: (at: ExfatPlant, set: number) => void, unseen?: string): Fault => ({
  what: `folder: ${what}`,
  code: 'directory-damaged',
  plant: (at) => {
    const set = at.fileEntry('OTHER.TXT', notesOf(at));
    change(at, set);
    at.sealSet(set);
  },
  ...(unseen === undefined ? {} : { unseen }),
});

const notesOf = (at: ExfatPlant) => at.view.getUint32(at.fileEntry('NOTES') + 52, true);
const firstOf = (at: ExfatPlant, name: string) =>
  at.view.getUint32(at.fileEntry(name, notesOf(at)) + 52, true);

const faults: readonly Fault[] = [
  boot('sectors of 2^8 bytes', 108, 8),
  boot('sectors of 2^13 bytes', 108, 13),
  boot('clusters of 2^17 sectors', 109, 17),
  boot('no file allocation table', 110, 0),
  boot('three file allocation tables', 110, 3),
  boot('two file allocation tables, which is for transactions alone', 110, 2),
  boot('a root folder at cluster 1', 96, 1),
  boot('revision 2', 105, 2),
  boot('revision 1.08', 104, 8),
  boot('no signature', 510, 0, 'it goes by the name alone'),
  boot('no jump', 1, 0x75, 'it goes by the name alone'),
  boot('a byte where FAT has its numbers', 11, 2, 'it does not look there'),
  boot('a length of nothing', 73, 0, 'it does not compare it with anything'),
  {
    what: 'boot region: a wrong checksum',
    code: 'boot-sector-bad',
    plant: (at) => {
      at.bytes[at.start + 100] = (at.bytes[at.start + 100] ?? 0) ^ 1;
    },
  },
  {
    what: 'boot region: a wrong checksum in the backup alone',
    code: 'backup-boot-differs',
    severity: 'warn',
    plant: (at) => {
      at.bytes[at.start + 12 * at.sector + 100] = (at.bytes[at.start + 12 * at.sector + 100] ?? 0) ^ 1;
    },
    unseen: 'it reads the backup only where the first is bad',
  },
  {
    what: 'the dirty flag',
    code: 'volume-dirty',
    plant: (at) => {
      at.bytes[at.start + 106] = 2;
    },
    unseen: 'it clears it as it goes',
  },
  {
    what: 'the flag of a failing medium',
    code: 'volume-error-flag',
    plant: (at) => {
      at.bytes[at.start + 106] = 4;
    },
    unseen: 'it does not look at it',
  },
  {
    what: 'a share in use that is far off',
    code: 'free-count-wrong',
    severity: 'note',
    plant: (at) => {
      at.bytes[at.start + 112] = 90;
    },
    unseen: 'a hint, as the specification has it',
  },
  folder('a name of no letters', (at, set) => {
    at.bytes[set + 35] = 0;
  }),
  folder('a name that says it is longer', (at, set) => {
    at.bytes[set + 35] = 16;
  }),
  folder('letters behind the end of a name', (at, set) => at.view.setUint16(set + 66 + 18, 0x41, true)),
  folder('a wrong hash of a name', (at, set) => {
    at.bytes[set + 36] = (at.bytes[set + 36] ?? 0) ^ 0x10;
  }),
  folder('a letter that cannot be', (at, set) => at.view.setUint16(set + 66, 0x2a, true)),
  folder('more bytes written than there are', (at, set) => at.view.setBigUint64(set + 40, 9001n, true)),
  folder('a length and no clusters', (at, set) => {
    at.view.setUint32(set + 52, 0, true);
  }),
  folder(
    'an entry of a critical kind that is not known',
    (at, set) => {
      at.bytes[set] = 0x86;
    },
    'it passes over what it does not know',
  ),
  {
    what: 'folder: a wrong checksum of a set',
    code: 'directory-damaged',
    plant: (at) => {
      const set = at.fileEntry('OTHER.TXT', notesOf(at));
      at.bytes[set + 2] = (at.bytes[set + 2] ?? 0) ^ 1;
    },
  },
  {
    what: 'folder: a set without its stream',
    code: 'directory-damaged',
    plant: (at) => {
      const set = at.fileEntry('OTHER.TXT', notesOf(at));
      at.bytes[set + 32] = 0xc1;
      at.sealSet(set);
    },
  },
  {
    what: 'folder: a part of a file alone',
    code: 'directory-damaged',
    plant: (at) => {
      at.bytes[at.fileEntry('OTHER.TXT', notesOf(at))] = 0x05;
    },
    unseen: 'it passes over what belongs to no file',
  },
  {
    what: 'folder: the same name twice, in another case',
    code: 'directory-damaged',
    plant: (at) => {
      const [list, other] = ['LIST.TXT', 'OTHER.TXT'].map((name) => at.fileEntry(name, notesOf(at))) as [
        number,
        number,
      ];
      for (let i = 0; i < 8; i++) at.view.setUint16(other + 66 + 2 * i, 'list.TXT'.charCodeAt(i), true);
      at.view.setUint16(other + 66 + 16, 0, true);
      at.bytes[other + 35] = 8;
      at.view.setUint16(other + 36, at.view.getUint16(list + 36, true), true);
      at.sealSet(other);
    },
    unseen: 'it compares no two names',
  },
  {
    what: 'folder: an entry behind the end',
    code: 'directory-damaged',
    plant: (at) => {
      at.bytes[at.clusterAt(notesOf(at)) + at.clusterBytes - 32] = 0x85;
    },
    unseen: 'it stops at the end mark',
  },
  {
    what: 'folder: a length that is no whole clusters',
    code: 'directory-damaged',
    plant: (at) => {
      const set = at.fileEntry('NOTES');
      at.view.setBigUint64(set + 40, 100n, true);
      at.view.setBigUint64(set + 56, 100n, true);
      at.sealSet(set);
    },
  },
  {
    what: 'up-case table: a wrong checksum',
    code: 'directory-damaged',
    plant: (at) => {
      at.bytes[at.rootEntry(0x82) + 4] = (at.bytes[at.rootEntry(0x82) + 4] ?? 0) ^ 1;
    },
  },
  {
    what: 'up-case table: none',
    code: 'directory-damaged',
    plant: (at) => {
      at.bytes[at.rootEntry(0x82)] = 0x02;
      at.mark(3, true);
    },
  },
  {
    what: 'bitmap: none',
    code: 'bitmap-wrong',
    plant: (at) => {
      at.bytes[at.rootEntry(0x81)] = 0x01;
    },
  },
  {
    what: 'bitmap: two of them',
    code: 'bitmap-wrong',
    plant: (at) => {
      const first = at.rootEntry(0x81);
      let end = first;
      while (at.bytes[end] !== 0) end += 32;
      at.bytes.copyWithin(end, first, first + 32);
      at.bytes[end + 1] = 1;
    },
    unseen: 'it takes the first',
  },
  {
    what: 'bitmap: too short',
    code: 'bitmap-wrong',
    plant: (at) => at.view.setBigUint64(at.rootEntry(0x81) + 24, 3n, true),
  },
  {
    what: 'bitmap: what a file uses is marked as free',
    code: 'bitmap-wrong',
    plant: (at) => at.mark(firstOf(at, 'OTHER.TXT'), false),
  },
  {
    what: 'bitmap: what nobody uses is taken',
    code: 'lost-clusters',
    severity: 'warn',
    plant: (at) => at.mark(at.clusters, true),
    unseen: 'it calls that no error',
  },
  {
    what: 'chain: leads to a cluster that is not there',
    code: 'chain-broken',
    plant: (at) => at.setFat(firstOf(at, 'LIST.TXT'), at.clusters + 2),
  },
  {
    what: 'chain: ends too early',
    code: 'chain-broken',
    plant: (at) => {
      const first = firstOf(at, 'LIST.TXT');
      const lost: number[] = [];
      for (let cluster = at.fat(first); cluster !== 0xffffffff; cluster = at.fat(cluster)) lost.push(cluster);
      at.setFat(first, 0xffffffff);
      for (const cluster of lost) at.mark(cluster, false);
    },
  },
  {
    what: 'chain: in a circle',
    code: 'chain-loop',
    plant: (at) => {
      const first = firstOf(at, 'LIST.TXT');
      const second = at.fat(first);
      at.mark(at.fat(second), false);
      at.setFat(second, first);
    },
  },
  {
    what: 'two files in the same clusters',
    code: 'cross-linked',
    plant: (at) => {
      const set = at.fileEntry('OTHER.TXT', notesOf(at));
      const own = firstOf(at, 'OTHER.TXT');
      for (let i = 0; i < 3; i++) at.mark(own + i, false);
      at.view.setUint32(set + 52, at.view.getUint32(at.fileEntry('RILL40.FWU') + 52, true), true);
      at.sealSet(set);
    },
  },
  {
    what: 'one piece that reaches beyond the last cluster',
    code: 'chain-broken',
    plant: (at) => {
      const set = at.fileEntry('OTHER.TXT', notesOf(at));
      const own = firstOf(at, 'OTHER.TXT');
      for (let i = 0; i < 3; i++) at.mark(own + i, false);
      at.view.setUint32(set + 52, at.clusters + 1, true);
      at.mark(at.clusters + 1, true);
      at.sealSet(set);
    },
  },
];

async function check(bytes: Uint8Array) {
  const blocks = memoryBlocks(bytes);
  const wanted = { release: releaseFor(image), rule };
  return checkCard(examineCard(blocks), blocks, { wanted, known: [], writeProtected: false });
}

test('is ready, and clean to fsck.exfat, before anything is planted', async () => {
  const checked = await check(made.slice());
  expect(checked.verdict).toBe('ready');
  expect(checked.findings.filter(({ severity }) => severity !== 'note')).toEqual([]);
  expect(fsckExfat(made)).toMatchObject({ exit: 0 });
});

describe('planted', () => {
  test.each(faults.map((fault) => [`${fault.what} -> ${fault.code}`, fault] as const))(
    '%s',
    async (_, fault) => {
      const bytes = made.slice();
      fault.plant(new ExfatPlant(bytes));
      const checked = await check(bytes);
      const severity = fault.severity ?? 'stop';
      const codes = (of: string) => [
        ...new Set(checked.findings.filter((one) => one.severity === of).map(({ code }) => code)),
      ];
      expect(codes('stop')).toEqual(severity === 'stop' ? [fault.code] : []);
      expect(codes(severity)).toContain(fault.code);
      if (severity === 'stop') expect(checked.verdict).not.toBe('ready');
      else expect(checked.verdict).toBe('ready');
      const judged = fsckExfat(bytes);
      expect(judged.exit === 0, judged.text).toBe(fault.unseen !== undefined);
    },
  );
});
