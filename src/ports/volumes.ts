// A card as its files, where the system has it mounted: for people who may not open the card itself. All paths are below
// the mount point and can lead nowhere else: no link is followed, no other mount is entered, and once the card is
// unmounted or gone nothing of this computer's own disk is reached in its place. A medium that fails throws a Failure
// with exit 6.

/** `other`: neither file nor folder, another mount, or a name that cannot be spelled; never opened. */
export type VolumeEntryKind = 'file' | 'folder' | 'other';

export interface VolumeEntry {
  /** Raw: print it through `printable`. */
  readonly name: string;
  readonly kind: VolumeEntryKind;
  /** 0 for all but files. */
  readonly sizeBytes: number;
  /** Another number, if anything of it was changed. */
  readonly modifiedMs: number;
}

/** Names from the root on; empty: the root itself. */
export type VolumePath = readonly string[];

export interface VolumeFacts {
  /** Tells the file system that is mounted there from any other. */
  readonly mount: string;
  /** As the mount itself says: `vfat`, `exfat`; null where it does not tell. */
  readonly fileSystem: string | null;
  readonly clusterBytes: number;
  readonly clusterCount: number;
  readonly freeBytes: number;
  readonly readOnly: boolean;
  /** Files are read past the system's memory; the system's knowledge of folders may still be remembered. */
  readonly readsPastMemory: boolean;
  /** What the medium has given and taken since it was put in, in bytes; null where the system does not count. */
  readonly traffic: { readonly readBytes: number; readonly writtenBytes: number } | null;
}

export interface NewVolumeFile {
  write(chunk: Uint8Array): void;
  /** Flushes and closes it. */
  keep(): void;
  /** Closes it and removes it. */
  discard(): void;
}

export interface MountedVolume {
  readonly mountPoint: string;
  facts(): VolumeFacts;
  /** Sorted by name. */
  list(folder: VolumePath): readonly VolumeEntry[];
  /** Its bytes in order, past the system's memory where that is possible. A chunk's memory is used again. */
  chunks(file: VolumePath): Iterable<Uint8Array>;
  /** Fails where the name is taken. */
  startNew(file: VolumePath): NewVolumeFile;
  makeFolder(folder: VolumePath): void;
  /** Fails where the new name is taken. */
  rename(from: VolumePath, to: VolumePath): void;
  removeFile(file: VolumePath): void;
  /** An empty one. */
  removeFolder(folder: VolumePath): void;
  /** Returns once all that was done in it is on the medium, as far as the system tells. */
  flush(folder: VolumePath): void;
  close(): void;
}

export interface Volumes {
  /** Failure exit 6 where nothing is mounted there any more. */
  open(mountPoint: string): MountedVolume;
}
