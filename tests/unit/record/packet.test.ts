// A packet is whole and sound, or nothing of it is believed. The packets are made by hand (tests/support/packets.ts).
import { describe, expect, test } from 'vitest';
import { linesOf } from '../../../src/bytes/lines.ts';
import { bodyFault } from '../../../src/record/entry-schema.ts';
import { checkPacket } from '../../../src/record/packet/check-packet.ts';
import { manifestNameFault } from '../../../src/record/packet/manifest-name.ts';
import { PacketFault } from '../../../src/record/packet/packet-fault.ts';
import { maxLineBytes } from '../../../src/record/packet/read-packet.ts';
import { sealEntry } from '../../../src/record/seal-entry.ts';
import { chainOf, day, newYear } from '../../support/entries.ts';
import { manifestLine, packetText, sealedPacket } from '../../support/packets.ts';

const bytesOf = (text: string) => new TextEncoder().encode(text);

/** The code of what is wrong with it; '' where nothing is. Anything but a PacketFault is a bug and passes through. */
function faultOf(bytes: Uint8Array | string, chunkBytes = 1000): string {
  const all = typeof bytes === 'string' ? bytesOf(bytes) : bytes;
  function* chunks() {
    // Memory that is used again, as a file is read.
    const buffer = new Uint8Array(chunkBytes);
    for (let at = 0; at < all.length; at += chunkBytes) {
      const part = all.subarray(at, at + chunkBytes);
      buffer.set(part);
      yield buffer.subarray(0, part.length);
    }
  }
  try {
    checkPacket(linesOf(chunks(), maxLineBytes), bodyFault);
    return '';
  } catch (error) {
    if (!(error instanceof PacketFault)) throw error;
    expect(error.finding.next).not.toBe('');
    return error.finding.code;
  }
}

function chain(laptop: string, length: number) {
  const made = chainOf(laptop);
  const serial = 'TRB00000018';
  made.add(
    'unit-added',
    { serial, product: 'rill-40', hardware: null, site: 'Ü "Farm"', details: {} },
    newYear,
  );
  for (let i = 1; i < length; i++) made.add('note', { serial, text: `ß \\ ${i}` }, newYear + i * day);
  return made;
}

const manifest = manifestLine('rill-40.yaml', 'manifest: product\nname: "Ünit"\n', {
  signature: 'S'.repeat(20),
});
const small = packetText({
  manifests: [manifest],
  chains: [chain('aaaaaaaa', 3).stored, chain('bbbbbbbb', 1).stored],
});

describe('what is whole and sound is believed', () => {
  test.each([1, 7, 64, 1000, 1 << 20])('read in chunks of %d bytes', (chunkBytes) => {
    expect(faultOf(small, chunkBytes)).toBe('');
  });

  test('an empty record, and chains that are mixed', () => {
    expect(faultOf(packetText({}))).toBe('');
    const [a, b] = [chain('aaaaaaaa', 3).stored, chain('bbbbbbbb', 3).stored];
    const mixed = packetText({ chains: [a.flatMap((entry, i) => [entry, b[i]!])], marks: [a[2]!, b[2]!] });
    expect(faultOf(mixed)).toBe('');
  });

  test('kinds of the future, with whatever is in them', () => {
    const a = chain('aaaaaaaa', 1);
    const place = { laptop: 'aaaaaaaa', seq: 2, prev: a.stored[0]!.hash, writtenAt: a.entries[0]!.writtenAt };
    const future = sealEntry({ ...a.entries[0]!, kind: 'recalled', body: { odd: [1, { x: null }] } }, place);
    const newer = sealEntry(
      { ...a.entries[0]!, kindVersion: 2, body: {} },
      { ...place, seq: 3, prev: future.hash },
    );
    expect(faultOf(packetText({ chains: [[...a.stored, future, newer]] }))).toBe('');
  });
});

describe('one wrong byte', () => {
  const bytes = bytesOf(small);

  test('every byte, one bit of it and another: never believed', () => {
    let seen = 0;
    for (let at = 0; at < bytes.length; at++) {
      for (const bit of [0, 1 + (at % 7)]) {
        const wrong = bytes.slice();
        wrong[at]! ^= 1 << bit;
        if (faultOf(wrong) === '') throw new Error(`bit ${bit} of byte ${at} was not seen`);
        seen += 1;
      }
    }
    expect(seen).toBe(bytes.length * 2);
  });

  test('every byte taken out, and one put in before it', () => {
    for (let at = 0; at < bytes.length; at++) {
      const out = new Uint8Array([...bytes.subarray(0, at), ...bytes.subarray(at + 1)]);
      const twice = new Uint8Array([...bytes.subarray(0, at), 0x20, ...bytes.subarray(at)]);
      expect([faultOf(out), faultOf(twice)], `byte ${at}`).not.toContain('');
    }
  });

  test('cut anywhere, or with something after its end', () => {
    for (let length = 0; length < bytes.length; length++) {
      expect(faultOf(bytes.subarray(0, length)), `${length} bytes`).not.toBe('');
    }
    for (const more of ['\n', ' ', '{}\n', small]) expect(faultOf(small + more)).not.toBe('');
  });

  test('lines left out, swapped or repeated, even with a new digest', () => {
    const lines = small.trimEnd().split('\n').slice(0, -1);
    const counts = { manifests: 1, marks: 2, entries: 4 };
    expect(faultOf(sealedPacket(lines, counts))).toBe('');
    for (let at = 0; at < lines.length; at++) {
      const without = lines.filter((_, i) => i !== at);
      const kind = ['header', 'manifest'][at];
      const fewer = { ...counts, ...(at >= 2 && at < 6 ? { entries: 3 } : at >= 6 ? { marks: 1 } : {}) };
      if (kind === 'manifest') expect(faultOf(sealedPacket(without, { ...counts, manifests: 0 }))).toBe('');
      else expect(faultOf(sealedPacket(without, fewer)), `without line ${at + 1}`).not.toBe('');
      const twice = lines.flatMap((line, i) => (i === at ? [line, line] : [line]));
      const more = {
        ...counts,
        ...(kind === 'manifest' ? { manifests: 2 } : at < 6 ? { entries: 5 } : { marks: 3 }),
      };
      expect(faultOf(sealedPacket(twice, more)), `line ${at + 1} twice`).not.toBe('');
      // The bare last chain of one entry and its neighbour may change places: chains may be mixed. So may marks.
      if (at > 0 && !(at === 5 || at === 7)) {
        const swapped = lines.with(at, lines[at - 1]!).with(at - 1, lines[at]!);
        expect(faultOf(sealedPacket(swapped, counts)), `lines ${at} and ${at + 1} swapped`).not.toBe('');
      }
    }
  });
});

describe('a forged packet, its digest right', () => {
  const a = chain('aaaaaaaa', 3);
  const forged = (text: string) => {
    const entry = a.stored[1]!;
    return packetText({ chains: [[a.stored[0]!, { ...entry, text }, a.stored[2]!]] });
  };

  test.each([
    ['a text that was changed', forged(a.stored[1]!.text.replace('ß', 'ss'))],
    ['a chain with a hole', packetText({ chains: [[a.stored[0]!, a.stored[2]!]] })],
    ['a chain that does not begin', packetText({ chains: [a.stored.slice(1)] })],
    ['a mark beyond the end', packetText({ chains: [a.stored.slice(0, 2)], marks: [a.stored[2]!] })],
    ['a mark before the end', packetText({ chains: [a.stored], marks: [a.stored[1]!] })],
    ['no mark', packetText({ chains: [a.stored], marks: [] })],
    ['a mark of a chain that is not there', packetText({ marks: [a.stored[2]!] })],
    ['two marks of a chain', packetText({ chains: [a.stored], marks: [a.stored[2]!, a.stored[2]!] })],
    [
      'another hash in the mark',
      packetText({ chains: [a.stored], marks: [{ ...a.stored[2]!, hash: '0'.repeat(64) }] }),
    ],
    [
      'another prev',
      (() => {
        const { entries, stored } = chain('aaaaaaaa', 2);
        const place = { laptop: 'aaaaaaaa', seq: 3, prev: 'ab'.repeat(32), writtenAt: entries[0]!.writtenAt };
        return packetText({ chains: [[...stored, sealEntry(entries[1]!, place)]] });
      })(),
    ],
    [
      'a body that is not of its kind',
      (() => {
        const made = chainOf('aaaaaaaa');
        made.add(
          'unit-added',
          { serial: 'A', product: 'x', hardware: null, site: null, details: 7 as never },
          newYear,
        );
        return packetText({ chains: [made.stored] });
      })(),
    ],
    [
      'a correction with a body that is not of its kind',
      (() => {
        const made = chain('aaaaaaaa', 1);
        const { id, hash } = made.entries[0]!;
        const body = { serial: 'TRB00000018', product: 7 } as never;
        made.add(
          'correction',
          {
            serial: 'TRB00000018',
            corrects: { id, hash },
            kind: 'unit-added',
            why: 'x',
            body,
            bodyVersion: 1,
          },
          newYear,
        );
        return packetText({ chains: [made.stored] });
      })(),
    ],
    ['a manifest twice', packetText({ manifests: [manifest, { ...manifest, manifest: 'RILL-40.yaml' }] })],
    ['a manifest with another digest', packetText({ manifests: [{ ...manifest, sha256: 'ab'.repeat(32) }] })],
    ['chains with and without names', packetText({ chains: [a.stored], header: { names: 'replaced' } })],
    [
      'a chain that stands for another, said to have its names',
      packetText({ chains: [chain('standinabcdefghij', 1).stored] }),
    ],
  ])('%s', (_, text) => {
    expect(faultOf(text)).toBe('packet-unsound');
  });

  test.each([
    ['counts that are wrong', packetText({ chains: [a.stored], end: { entries: 2 } }), 'packet-damaged'],
    ['a newer form', packetText({ header: { format: 2, more: 1 } }), 'packet-newer'],
    ['a header with more in it', packetText({ header: { more: 1 } }), 'not-a-packet'],
    [
      'a line that nobody knows',
      sealedPacket([packetText({}).split('\n')[0]!, '{"extra":1}'], { manifests: 0, marks: 0, entries: 0 }),
      'packet-damaged',
    ],
    ['another program’s JSON', '{"name":"x"}\n', 'not-a-packet'],
    ['nothing', '', 'not-a-packet'],
    ['a line without end', 'x'.repeat(maxLineBytes + 1), 'not-a-packet'],
    ['a byte order mark', `\ufeff${packetText({})}`, 'not-a-packet'],
    ['line ends of Windows', packetText({}).replaceAll('\n', '\r\n'), 'not-a-packet'],
  ])('%s', (_, text, code) => {
    expect(faultOf(text)).toBe(code);
  });

  test('deep nesting and endless lines take no memory and no stack', () => {
    const deep = '['.repeat(500_000);
    expect(faultOf(`${packetText({}).split('\n')[0]}\n${deep}\n`)).toBe('packet-damaged');
    const entry = `{"hash":"${'ab'.repeat(32)}","entry":{"x":${'['.repeat(400_000)}${']'.repeat(400_000)}}}`;
    expect(
      faultOf(sealedPacket([packetText({}).split('\n')[0]!, entry], { manifests: 0, marks: 0, entries: 1 })),
    ).toBe('packet-unsound');
  });
});

test.each([
  'x.yaml',
  'tarnholt/rill-40@4.2.0.yaml',
  'a/b/c/d/e/f/g/h.json',
  'Über (2).yml',
  "O'Hara, 2.yaml",
])('a manifest may be named %s', (name) => {
  expect(manifestNameFault(name)).toBeUndefined();
});

test.each([
  '',
  '.yaml',
  '../x.yaml',
  'a/../x.yaml',
  'a/./x.yaml',
  '/etc/x.yaml',
  'a//x.yaml',
  'a/',
  'C:/x.yaml',
  'C:x.yaml',
  '\\\\host\\x.yaml',
  'a\\..\\x.yaml',
  'x.yaml\0',
  'x\n.yaml',
  '.hidden/x.yaml',
  '..x.yaml',
  'con.yaml',
  'CON/x.yaml',
  'com1.yaml',
  'a /x.yaml',
  'a./x.yaml',
  ' x.yaml',
  '~/x.yaml',
  '-x.yaml',
  'x.exe',
  'x',
  'x.yaml.sig',
  'trusted-signers',
  'u\u0308.yaml',
  'x\u202e.yaml',
  `${'x'.repeat(120)}.yaml`,
  'a/b/c/d/e/f/g/h/i.yaml',
  'rill.schema.json',
])('a manifest may not be named %j', (name) => {
  expect(manifestNameFault(name)).toBeTypeOf('string');
});
