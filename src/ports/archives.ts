// Archives as a maker hands them out: listed and read member by member, streamed, every size bounded.
// Names are as the archive states them and must never be used as a path on this computer.

export interface ArchiveMember {
  readonly name: string;
  readonly bytes: number;
}

export interface Archive {
  readonly members: readonly ArchiveMember[];
  /** The member's unpacked bytes; Failure exit 2 where the archive is damaged or says another length than it holds. */
  open(member: ArchiveMember): AsyncIterable<Uint8Array>;
  close(): void;
}

export interface Archives {
  /** undefined where the file is no archive of a kind that is known. */
  open(path: string): Promise<Archive | undefined>;
}
