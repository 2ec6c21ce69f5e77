// Where everything of a laptop lies: manifests, the record, kept files, sheets. Made on the first write, and
// said so; readable by its user only. Knows places (absolute paths), not contents.

export interface Workspace {
  readonly root: string;
  readonly manifests: string;
  /** The record's database file. */
  readonly record: string;
  /** Copies of every stray that was removed from a card. */
  readonly kept: string;
  readonly sheets: string;
  /** Which downloads were verified, and where they lie. */
  readonly downloads: string;
  /** Photos and other evidence by digest. */
  readonly evidence: string;
  /** The manifests as last read and checked; made anew where it is gone. */
  readonly catalogue: string;
  /** Who may sign manifests; trust is on where it is there. */
  readonly trustedSigners: string;
  /** Where the chains ended on each office server when it was last in step. */
  readonly servers: string;
  exists(): boolean;
  /** Makes it where it is missing, and says so once. Call before a first write. */
  make(): void;
}
