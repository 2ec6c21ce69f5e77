// A card as a row of bytes: all that the pure code may do to one. Synchronous, because a card answers one
// request at a time and the order of writes is what safety rests on. A medium that fails throws a Failure
// with exit 6; reading or writing beyond the end is a bug of the caller and throws a RangeError.

/**
 * What reading proves. `direct`: the medium gave it at that moment. `image`: a card image file holds it. `reinserted`:
 * read after the card was out. `cached`: the computer may have remembered it, which proves nothing of the card.
 */
export type Proof = 'direct' | 'reinserted' | 'image' | 'cached';

export interface BlockReader {
  readonly sizeBytes: number;
  /** Absent: `image`. */
  readonly proof?: Proof;
  /** Logical sector size, the unit in which raw devices take requests. */
  readonly sectorBytes: number;
  /** Fills the whole of `target` from `offsetBytes` on. */
  read(offsetBytes: number, target: Uint8Array): void;
}

export interface Blocks extends BlockReader {
  /** Of what was opened, as `CardIdentity` has it: the path may lead elsewhere meanwhile. */
  readonly device: string;
  write(offsetBytes: number, source: Uint8Array): void;
  /** Returns once all writes before it are on the medium. */
  flush(): void;
  /**
   * Begins to bring what was written to the medium, while more is written; promises no more than that. Where it fails the
   * promise does: it has to be awaited before `flush`, which is not told of the same error again.
   */
  flushSoon?(): Promise<void>;
  close(): void;
}

/** What tells this card from another: taken when the person confirms, and again right before the first write. */
export interface CardIdentity {
  readonly path: string;
  readonly sizeBytes: number;
  /** Device and inode (or the system's device number), as text. */
  readonly device: string;
  /** SHA-256 over the first sectors, lower-case hex. */
  readonly firstSectorsSha256: string;
}

export interface Cards {
  /** Looks only: never creates, never follows to a device without saying so. Failure exit 2 where it is none. */
  openToRead(path: string): BlockReader & { close(): void };
  /**
   * Opens an existing card to write, for one writer at a time. Failure exit 6 where it is write-protected, exit 5 where
   * another is writing to it.
   */
  openToWrite(path: string): Blocks;
  /** Makes a sparse card image file of exactly `sizeBytes`; refuses (exit 5) if the path exists. */
  create(path: string, sizeBytes: number): Blocks;
  identify(path: string): CardIdentity;
  exists(path: string): boolean;
  /** Known without opening it to write; false where only a write would tell. */
  isWriteProtected(path: string): boolean;
}
