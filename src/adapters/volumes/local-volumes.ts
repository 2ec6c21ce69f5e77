// Mounted cards through node:fs. The root is held open, which keeps the card mounted, and on Linux every path goes through
// that handle, so that nothing else can take the place of the card; elsewhere the root is looked at before each step.
// fsync is what flushes: on macOS Node asks the drive itself (F_FULLFSYNC). Decides nothing.

import {
  type BigIntStats,
  closeSync,
  constants,
  fstatSync,
  fsyncSync,
  lstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  readFileSync,
  readSync,
  renameSync,
  rmdirSync,
  statfsSync,
  statSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import type { MountedVolume, VolumeEntry, VolumeFacts, VolumePath, Volumes } from '../../ports/volumes.ts';
import { directChunks } from './direct-file.ts';
import { volumeFailure, volumeGone } from './volume-failure.ts';

const pieceBytes = 2 ** 20;
const onLinux = process.platform === 'linux';
const { O_RDONLY, O_WRONLY, O_CREAT, O_EXCL, O_DIRECT = 0, O_DIRECTORY = 0, O_NOFOLLOW = 0 } = constants;
/** Linux; Node does not name it. What is looked at must not be written to for having been looked at. */
const noAccessTime = onLinux ? 0o1000000 : 0;

/** As statfs numbers them on Linux. Only of these is it known that O_DIRECT asks the medium. */
const linuxTypes: Readonly<Record<number, string>> = { 19780: 'vfat', 538032816: 'exfat' };

const textOf = (path: VolumePath) => path.join('/');

/** No name of a card may lead anywhere but into its folder. */
function isPlain(name: string): boolean {
  return (
    name !== '' &&
    name !== '.' &&
    name !== '..' &&
    !/[/\0\ufffd]/.test(name) &&
    !(!onLinux && /\\/.test(name))
  );
}

const mountOf = ({ dev, ino }: Pick<BigIntStats, 'dev' | 'ino'>) => `${dev}:${ino}`;

function trafficOf(dev: bigint): VolumeFacts['traffic'] {
  if (!onLinux) return null;
  try {
    const major = ((dev >> 8n) & 0xfffn) | ((dev >> 32n) & ~0xfffn);
    const minor = (dev & 0xffn) | ((dev >> 12n) & ~0xffn);
    const said = readFileSync(`/sys/dev/block/${major}:${minor}/stat`, 'latin1')
      .trim()
      .split(/\s+/)
      .map(Number);
    const [read, written] = [said[2], said[6]];
    return Number.isSafeInteger(read) && Number.isSafeInteger(written)
      ? { readBytes: (read as number) * 512, writtenBytes: (written as number) * 512 }
      : null;
  } catch {
    return null;
  }
}

class LocalVolume implements MountedVolume {
  readonly mountPoint: string;
  readonly #root: number | undefined;
  readonly #stat: BigIntStats;
  readonly #base: string;
  #open = true;

  constructor(mountPoint: string) {
    this.mountPoint = mountPoint;
    // Windows opens no folder; there a card that is unmounted has no path any more.
    this.#root =
      process.platform === 'win32' ? undefined : openSync(mountPoint, O_RDONLY | O_DIRECTORY | O_NOFOLLOW);
    this.#stat =
      this.#root === undefined
        ? statSync(mountPoint, { bigint: true })
        : fstatSync(this.#root, { bigint: true });
    this.#base = onLinux ? `/proc/self/fd/${this.#root}` : mountPoint.replace(/[\\/]+$/, '');
  }

  #told<T>(path: VolumePath, doing: 'read' | 'write', act: () => T): T {
    try {
      return act();
    } catch (error) {
      throw volumeFailure(error, path.length === 0 ? this.mountPoint : textOf(path), doing);
    }
  }

  /** The path of a thing whose folders are all folders of this card. */
  #at(path: VolumePath, doing: 'read' | 'write'): string {
    if (!this.#open) throw new Error('the card was closed');
    const now = statSync(onLinux ? `${this.#base}/.` : this.mountPoint, {
      bigint: true,
      throwIfNoEntry: false,
    });
    if (now === undefined || mountOf(now) !== mountOf(this.#stat)) throw volumeGone(this.mountPoint);
    let at = this.#base;
    path.forEach((name, depth) => {
      if (!isPlain(name)) throw new RangeError(`no name of a file: ${JSON.stringify(name)}`);
      at = `${at}/${name}`;
      if (depth === path.length - 1) return;
      const stat = this.#told(path.slice(0, depth + 1), doing, () => lstatSync(at, { bigint: true }));
      if (!stat.isDirectory() || stat.dev !== this.#stat.dev) {
        const moved = Object.assign(new Error('no folder of this card'), { code: 'ENOTDIR' });
        throw volumeFailure(moved, textOf(path), doing);
      }
    });
    return path.length === 0 ? `${at}/.` : at;
  }

  facts(): VolumeFacts {
    const root = this.#at([], 'read');
    return this.#told([], 'read', () => {
      const { type, bsize, blocks, bfree } = statfsSync(root);
      const fileSystem = (onLinux && linuxTypes[type]) || null;
      return {
        mount: mountOf(this.#stat),
        fileSystem,
        clusterBytes: bsize,
        clusterCount: blocks,
        freeBytes: bfree * bsize,
        readOnly: this.#isReadOnly(),
        readsPastMemory: fileSystem !== null && O_DIRECT !== 0,
        traffic: trafficOf(this.#stat.dev),
      };
    });
  }

  /** As the kernel's own list of mounts has it; elsewhere only a write tells. */
  #isReadOnly(): boolean {
    if (!onLinux) return false;
    try {
      const fields = readFileSync(`/proc/self/fdinfo/${this.#root}`, 'latin1');
      const id = /^mnt_id:\s*(\d+)/m.exec(fields)?.[1];
      const lines = readFileSync('/proc/self/mountinfo', 'latin1').split('\n');
      const mount = lines.find((line) => line.startsWith(`${id} `))?.split(' ') ?? [];
      const ofMedium = mount[mount.indexOf('-') + 3] ?? '';
      return [mount[5] ?? '', ofMedium].some((options) => options.split(',').includes('ro'));
    } catch {
      return false;
    }
  }

  list(folder: VolumePath): readonly VolumeEntry[] {
    const at = this.#at(folder, 'read');
    return this.#told(folder, 'read', () => {
      const own = lstatSync(at, { bigint: true });
      if (!own.isDirectory() || own.dev !== this.#stat.dev) {
        throw Object.assign(new Error('no folder of this card'), { code: 'ENOTDIR' });
      }
      return readdirSync(at)
        .sort((a, b) => (a < b ? -1 : 1))
        .map((name): VolumeEntry => {
          const stat = isPlain(name)
            ? lstatSync(`${at}/${name}`, { bigint: true, throwIfNoEntry: false })
            : undefined;
          const ours = stat !== undefined && stat.dev === this.#stat.dev;
          const kind = ours && stat.isFile() ? 'file' : ours && stat.isDirectory() ? 'folder' : 'other';
          return {
            name,
            kind,
            sizeBytes: kind === 'file' ? Number(stat?.size ?? 0) : 0,
            modifiedMs: Number((stat?.mtimeNs ?? 0n) / 1000n) / 1000,
          };
        });
    });
  }

  #openFile(file: VolumePath, flags: number): number {
    const at = this.#at(file, 'read');
    const handle = openSync(at, flags | O_NOFOLLOW);
    const stat = fstatSync(handle, { bigint: true });
    if (stat.isFile() && stat.dev === this.#stat.dev) return handle;
    closeSync(handle);
    throw Object.assign(new Error('no file of this card'), { code: 'ELOOP' });
  }

  #openToRead(file: VolumePath, flags: number): number {
    try {
      return this.#openFile(file, flags | noAccessTime);
    } catch (error) {
      // Only the owner may ask for that.
      if ((error as NodeJS.ErrnoException).code !== 'EPERM' || noAccessTime === 0) throw error;
      return this.#openFile(file, flags);
    }
  }

  *chunks(file: VolumePath): Generator<Uint8Array> {
    const past = this.facts().readsPastMemory;
    const handle = this.#told(file, 'read', () => this.#openToRead(file, O_RDONLY | (past ? O_DIRECT : 0)));
    try {
      const direct = past ? this.#told(file, 'read', () => directChunks(handle)) : undefined;
      if (past && direct === undefined) {
        throw volumeFailure(
          Object.assign(new Error('no direct reading'), { code: 'EIO' }),
          textOf(file),
          'read',
        );
      }
      if (direct === undefined) yield* this.#remembered(file, handle);
      else {
        for (;;) {
          const next = this.#told(file, 'read', () => direct.next());
          if (next.done) return;
          yield next.value;
        }
      }
    } finally {
      closeSync(handle);
    }
  }

  *#remembered(file: VolumePath, handle: number): Generator<Uint8Array> {
    const buffer = new Uint8Array(pieceBytes);
    for (let position = 0; ; ) {
      const got = this.#told(file, 'read', () => readSync(handle, buffer, 0, pieceBytes, position));
      if (got === 0) return;
      position += got;
      yield buffer.subarray(0, got);
    }
  }

  startNew(file: VolumePath) {
    const at = this.#at(file, 'write');
    const flags = O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW;
    let handle: number | undefined = this.#told(file, 'write', () => openSync(at, flags, 0o666));
    const close = () => {
      const open = handle;
      handle = undefined;
      if (open !== undefined) closeSync(open);
    };
    return {
      write: (chunk: Uint8Array) =>
        this.#told(file, 'write', () => {
          for (let done = 0; done < chunk.length; ) done += writeSync(handle ?? -1, chunk, done);
        }),
      keep: () =>
        this.#told(file, 'write', () => {
          fsyncSync(handle ?? -1);
          close();
        }),
      discard: () => {
        try {
          close();
        } catch {
          // What was to be written is given up anyway.
        }
        this.removeFile(file);
      },
    };
  }

  makeFolder(folder: VolumePath): void {
    const at = this.#at(folder, 'write');
    this.#told(folder, 'write', () => mkdirSync(at));
  }

  rename(from: VolumePath, to: VolumePath): void {
    const [source, target] = [this.#at(from, 'write'), this.#at(to, 'write')];
    this.#told(to, 'write', () => {
      if (lstatSync(target, { throwIfNoEntry: false }) !== undefined) {
        throw Object.assign(new Error('the name is taken'), { code: 'ENOTDIR' });
      }
      renameSync(source, target);
    });
  }

  removeFile(file: VolumePath): void {
    const at = this.#at(file, 'write');
    this.#told(file, 'write', () => unlinkSync(at));
  }

  removeFolder(folder: VolumePath): void {
    const at = this.#at(folder, 'write');
    this.#told(folder, 'write', () => rmdirSync(at));
  }

  flush(folder: VolumePath): void {
    if (this.#root === undefined) return;
    const at = this.#at(folder, 'write');
    this.#told(folder, 'write', () => {
      const handle = openSync(at, O_RDONLY | O_DIRECTORY);
      try {
        fsyncSync(handle);
      } finally {
        closeSync(handle);
      }
    });
  }

  close(): void {
    if (!this.#open) return;
    this.#open = false;
    if (this.#root !== undefined) closeSync(this.#root);
  }
}

export const localVolumes: Volumes = {
  open(mountPoint) {
    try {
      return new LocalVolume(mountPoint);
    } catch (error) {
      throw volumeFailure(error, mountPoint, 'read');
    }
  },
};
