// What the tool needs of the host's file system, apart from cards. Reading is bounded by the caller; writing
// is whole or not at all (a temporary file beside it, fsync, rename), and new files belong to the user alone.
// Failures: exit 2 where a named file is absent or a folder, exit 6 where the disk fails or is full.

export interface FileFacts {
  readonly kind: 'file' | 'folder' | 'device' | 'other';
  readonly sizeBytes: number;
  readonly modifiedMs: number;
  /** When the system last changed anything of it, content or not; nobody sets this time by hand. */
  readonly changedMs: number;
  /** Device, number, size and times to the nanosecond: another text, if another file or another content. */
  readonly stamp: string;
}

export interface FileEntry {
  readonly name: string;
  readonly kind: FileFacts['kind'];
}

export interface NewFile {
  write(chunk: Uint8Array): void;
  /** Flushes it and gives it its name; Failure `file-exists` where that is taken, and it is gone. */
  keep(): void;
  /** It never was. */
  discard(): void;
}

export interface Files {
  /** Absolute form of a path as the person gave it. */
  absolute(path: string): string;
  facts(path: string): FileFacts | undefined;
  /** For this user, on the drive of this folder or of the next one above it that is there; undefined: not to be told. */
  freeBytes(folder: string): number | undefined;
  /** Whole content; Failure `too-large` (exit 2) beyond `maxBytes`. */
  readBytes(path: string, maxBytes: number): Uint8Array;
  readText(path: string, maxBytes: number): string;
  /** In order, in chunks of 1 MiB. The chunk's memory is used again for the next one. */
  chunks(path: string): Iterable<Uint8Array>;
  /** Sorted by name; empty where the folder does not exist. */
  list(folder: string): readonly FileEntry[];
  /** Makes the folder and its parents, readable by its user only. */
  makeFolder(path: string): void;
  /** Whole or not at all, replacing what is there. */
  write(path: string, content: Uint8Array | string): void;
  /** Appends chunk after chunk to a new file, flushes it, then gives it its name; never replaces. */
  writeNew(path: string, chunks: Iterable<Uint8Array>): void;
  /** The same, piece by piece, for what is made while others are waited for. One of the two ends must be called. */
  startNew(path: string): NewFile;
  /** When the content was last changed, as others are to be told; the content stays. */
  setModified(path: string, atMs: number): void;
  remove(path: string): void;
  /** A new folder of the user's own among the system's temporary files; gone when `remove` is called. */
  makeTemporaryFolder(): { readonly path: string; remove(): void };
}
