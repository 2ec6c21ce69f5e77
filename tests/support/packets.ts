// Packets made by hand, line by line, with a digest worked out here: whatever a forger can make as well.

import { createHash } from 'node:crypto';
import type { StoredEntry } from '../../src/ports/record-rules.ts';

export interface PacketParts {
  readonly header?: Record<string, unknown>;
  readonly manifests?: readonly Record<string, unknown>[];
  readonly chains?: readonly (readonly StoredEntry[])[];
  /** Instead of each chain's last. */
  readonly marks?: readonly { readonly laptop: string; readonly seq: number; readonly hash: string }[];
  readonly end?: Record<string, unknown>;
}

const sha256 = (text: string) => createHash('sha256').update(text).digest('hex');

export function manifestLine(manifest: string, text: string, more: Record<string, unknown> = {}) {
  return {
    manifest,
    modified: '2026-11-20T10:00:00.000+00:00',
    sha256: sha256(text),
    text,
    signature: null,
    ...more,
  };
}

export function packetText({ header, manifests = [], chains = [], marks, end }: PacketParts): string {
  const entries = chains.flat();
  const ends = marks ?? chains.map((chain) => chain.at(-1)!);
  const lines = [
    JSON.stringify({
      packet: 'slotproof record',
      format: 1,
      packedAt: '2026-11-23T10:00:00.000+00:00',
      packedBy: 'R. Quill',
      laptop: entries[0]?.laptop ?? 'aaaaaaaa',
      names: 'kept',
      people: 'Holds names.',
      manifestNews: null,
      ...header,
    }),
    ...manifests.map((line) => JSON.stringify(line)),
    ...entries.map(({ hash, text }) => `{"hash":"${hash}","entry":${text}}`),
    ...ends.map(({ laptop, seq, hash }) => JSON.stringify({ mark: { laptop, seq, hash } })),
  ];
  return sealedPacket(lines, {
    manifests: manifests.length,
    marks: ends.length,
    entries: entries.length,
    ...end,
  });
}

/** Any lines, with an end that fits them. */
export function sealedPacket(lines: readonly string[], end: Record<string, unknown>): string {
  const text = lines.map((line) => `${line}\n`).join('');
  return `${text}${JSON.stringify({ end: { ...end, sha256: sha256(text) } })}\n`;
}
