// A card rule, releases and firmware bytes for tests: small, made up, and parsed by the real schemas.

import { createHash } from 'node:crypto';
import { type CardRule, type Release, releaseSchema } from '../../src/manifest/schema.ts';

/** Takes every card of the tests; narrow it where a test is about the rule. */
export function cardRule(narrower: Partial<CardRule> = {}): CardRule {
  return {
    fileSystems: ['fat32', 'fat16', 'fat12'],
    partitionTables: ['mbr', 'none', 'gpt'],
    capacity: { minBytes: 1, maxBytes: 64e9 },
    maxClusterBytes: 65536,
    onlyFile: true,
    shortNameOnly: true,
    contiguous: false,
    rootSlots: 0,
    activePartition: false,
    afterUse: 'unchanged',
    ...narrower,
  };
}

/** Bytes that differ from place to place and from seed to seed, and mean nothing. */
export function firmwareBytes(length: number, seed = 1): Uint8Array {
  const bytes = new Uint8Array(length);
  let state = (seed * 2654435761) >>> 0;
  for (let i = 0; i < length; i++) {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    bytes[i] = state >>> 24;
  }
  return bytes;
}

export function releaseFor(image: Uint8Array, changes: Record<string, unknown> = {}): Release {
  const { name = 'RILL40.FWU', folder = '', digests, ...rest } = changes;
  return releaseSchema.parse({
    manifest: 'release',
    format: 1,
    product: 'rill-40',
    version: '4.2.0',
    sequence: 17,
    issued: '2026-10-01',
    priority: 'required',
    hardware: ['B'],
    image: {
      name,
      folder,
      bytes: image.length,
      digests: digests ?? { sha256: createHash('sha256').update(image).digest('hex') },
    },
    ...rest,
  });
}
