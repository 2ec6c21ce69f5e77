// What is to be written to a card, as data: stages in order, each flushed before the next begins. Within a
// stage the writes may land in any order, or not at all when power dies: the stages are cut so that this never
// leaves a card that looks ready. Writes nothing itself.

export interface CardWrite {
  readonly offsetBytes: number;
  readonly bytes: Uint8Array;
}

/** Bytes that lie together on the card. */
export interface ByteRun {
  readonly offsetBytes: number;
  readonly lengthBytes: number;
}

export type StageName =
  | 'guard'
  | 'blank'
  | 'folders'
  | 'move'
  | 'remove'
  | 'free'
  | 'tables'
  | 'image'
  | 'enter'
  | 'release'
  | 'settle'
  | 'open'
  | 'unguard';

export type WriteStage =
  | {
      readonly kind: 'sectors';
      readonly name: StageName;
      /** How many bytes the writes have in all, for progress. */
      readonly totalBytes: number;
      writes(): Iterable<CardWrite>;
    }
  | {
      readonly kind: 'image';
      readonly name: 'image';
      /** Where the image goes, in order; what is left of the last run is filled with zeros. */
      readonly runs: readonly ByteRun[];
      readonly imageBytes: number;
    };

/** A stage whose writes are all known and few. */
export function sectorStage(name: StageName, writes: readonly CardWrite[]): WriteStage {
  const totalBytes = writes.reduce((sum, write) => sum + write.bytes.length, 0);
  return { kind: 'sectors', name, totalBytes, writes: () => writes };
}
