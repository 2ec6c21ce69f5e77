// What is proved while it is taken in, and a file that changes under its reader's hands.

import { expect, test } from 'vitest';
import type { Context } from '../../../src/commands/context.ts';
import { PacketFile } from '../../../src/commands/packet/packet-file.ts';
import { PacketFault } from '../../../src/record/packet/packet-fault.ts';
import { Failure } from '../../../src/words/failure.ts';
import { chainOf, newYear } from '../../support/entries.ts';
import { manifestLine, packetText } from '../../support/packets.ts';

/** A file whose content and stamp may be another each time that it is opened. */
function packetFile(...contents: readonly string[]): PacketFile {
  let opened = 0;
  const current = () => contents[Math.min(opened, contents.length) - 1] ?? contents[0]!;
  const files = {
    facts: () => ({ kind: 'file', sizeBytes: current().length, stamp: current() }),
    *chunks() {
      opened += 1;
      yield new TextEncoder().encode(current());
    },
  };
  const terminal = { progress: () => ({ at() {}, end() {} }) };
  return new PacketFile({ files, terminal } as unknown as Pick<Context, 'files' | 'terminal'>, 'a.packet');
}

function entries(count = 3) {
  const chain = chainOf('aaaaaaaa');
  for (let i = 0; i < count; i++) chain.add('note', { text: `note ${i}` }, newYear);
  return chain.stored;
}

const manifests = [manifestLine('one.yaml', 'x: 1\n'), manifestLine('two.yaml', 'x: 2\n')];
const sound = packetText({ manifests, chains: [entries()] });
const other = packetText({
  manifests: [manifests[0]!, manifestLine('two.yaml', 'x: 3\n')],
  chains: [entries()],
});
const fewer = packetText({ manifests: manifests.slice(0, 1), chains: [entries()] });

function caught(work: () => unknown): unknown {
  try {
    work();
  } catch (error) {
    return error;
  }
  return undefined;
}

test('the entries come as they are proved, and what the packet is stands at their end', () => {
  const packet = packetFile(sound);
  expect(packet.header().laptop).toBe('aaaaaaaa');
  expect(() => packet.checked()).toThrow('not read to its end');
  expect([...packet.entries('x')].map(({ stored }) => stored)).toEqual(entries());
  expect(packet.checked()).toMatchObject({ entries: 3, marks: [{ laptop: 'aaaaaaaa', seq: 3 }] });
  expect([...packet.manifests()].map(({ text }) => text)).toEqual(['x: 1\n', 'x: 2\n']);
  expect(caught(() => packet.requireUnchanged())).toBeUndefined();
});

test('a fault that only the end shows is thrown after all entries were given', () => {
  const forged = packetText({ chains: [entries()], marks: [{ ...entries(2).at(-1)!, seq: 2 }] });
  for (const text of [forged, sound.slice(0, -2), sound.replace(/"entries":3/, '"entries":4')]) {
    const packet = packetFile(text);
    const given: unknown[] = [];
    const error = caught(() => {
      for (const entry of packet.entries('x')) given.push(entry);
    });
    expect(error).toBeInstanceOf(PacketFault);
    expect(given).toHaveLength(3);
    expect(() => packet.checked()).toThrow('not read to its end');
  }
});

test('manifests that are not the ones that were proved are given to nobody', () => {
  for (const second of [other, fewer, sound.replace('"entry"', '"entri"').slice(0, 300), 'no packet\n', '']) {
    const packet = packetFile(sound, second);
    for (const _ of packet.entries('x'));
    const given: string[] = [];
    const error = caught(() => {
      for (const { text } of packet.manifests()) given.push(text);
    });
    expect(error, second).toBeInstanceOf(Failure);
    expect((error as Failure).facts.code).toBe('packet-changed');
    expect(given).not.toContain('x: 3\n');
  }
});

test('a file that is another at the end is told, whatever was read', () => {
  const packet = packetFile(sound, `${sound} `);
  for (const _ of packet.entries('x'));
  for (const _ of packet.manifests());
  expect(caught(() => packet.requireUnchanged())).toBeInstanceOf(Failure);
});
