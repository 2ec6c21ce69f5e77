// What `prepare` is going to do, as a person is told before it happens and as a dry run prints it. The same
// steps come from a dry run and from the run that carries them out. Paths are those on the card, raw.

export type PlanStep =
  /** A card image file that does not exist yet. */
  | { readonly do: 'create'; readonly sizeBytes: number }
  /** Copied to the workspace before anything is removed. */
  | { readonly do: 'keep'; readonly path: string; readonly bytes: number }
  /** With `--fresh`: it cannot be read, so it cannot be kept. */
  | { readonly do: 'lose'; readonly path: string; readonly why: string }
  | { readonly do: 'remove'; readonly path: string; readonly files: number; readonly bytes: number }
  | {
      readonly do: 'lay-out';
      readonly partitionTable: 'mbr' | 'none';
      readonly fileSystem: 'fat16' | 'fat32';
      readonly clusterBytes: number;
    }
  | { readonly do: 'make-folder'; readonly path: string }
  /** Its entry goes elsewhere in its folder, so that the image comes early enough. The file stays as it is. */
  | { readonly do: 'move-entry'; readonly path: string }
  | { readonly do: 'write'; readonly path: string; readonly bytes: number }
  /** The bytes are on the card already: they get the right name in the right place. */
  | { readonly do: 're-enter'; readonly path: string; readonly from: string }
  | { readonly do: 'mark-active' }
  /** The card says that it was pulled too early: that mark goes, last of all. */
  | { readonly do: 'mark-clean' };
