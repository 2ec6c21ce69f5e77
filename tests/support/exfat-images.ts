// exFAT cards: formatted by mkfs.exfat, filled by a small writer of the tests' own from the exFAT file system
// specification, judged by fsck.exfat. Shares no code with what is tested, and knows just what the tests need: files and
// folders, in one piece or along the FAT, in the first clusters that are free or in those that are asked for.

import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { makeSparseFile } from './card-images.ts';

export interface ExfatFileRecipe {
  readonly path: string;
  readonly bytes: Uint8Array;
  /** Along the FAT, with this many free clusters between two of its own. In one piece unless given. */
  readonly chainedGap?: number;
  /** Only so many bytes were written; the rest reads as zeros. */
  readonly validBytes?: number;
  readonly attributes?: number;
}

export interface ExfatRecipe {
  readonly sizeBytes: number;
  readonly clusterBytes?: number;
  readonly label?: string;
  /** In a partition of type 07 from this sector on; bare unless given. */
  readonly startSector?: number;
  readonly files?: readonly ExfatFileRecipe[];
}

const u16 = (value: number) => [value & 0xff, (value >>> 8) & 0xff];

/** The checksums of the specification, by division instead of shifts; `skip`: bytes that are left out. */
function rotated(bytes: Iterable<number>, bits: 16 | 32, skip: readonly number[] = []): number {
  const top = bits === 16 ? 0x8000 : 0x8000_0000;
  let sum = 0;
  let at = 0;
  for (const byte of bytes) {
    if (!skip.includes(at++)) sum = ((sum & 1 ? top : 0) + (sum >>> 1) + byte) % 2 ** bits;
  }
  return sum;
}

/** One exFAT volume in memory, by its own few lines of arithmetic. */
export class ExfatPlant {
  readonly bytes: Uint8Array;
  readonly view: DataView;
  readonly start: number;
  readonly sector: number;
  readonly clusterBytes: number;
  readonly fatAt: number;
  readonly heapAt: number;
  readonly clusters: number;
  readonly rootCluster: number;

  constructor(bytes: Uint8Array, startSector = 0) {
    this.bytes = bytes;
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.start = startSector * 512;
    this.sector = 2 ** this.view.getUint8(this.start + 108);
    this.clusterBytes = this.sector * 2 ** this.view.getUint8(this.start + 109);
    this.fatAt = this.start + this.view.getUint32(this.start + 80, true) * this.sector;
    this.heapAt = this.start + this.view.getUint32(this.start + 88, true) * this.sector;
    this.clusters = this.view.getUint32(this.start + 92, true);
    this.rootCluster = this.view.getUint32(this.start + 96, true);
  }

  clusterAt(cluster: number): number {
    return this.heapAt + (cluster - 2) * this.clusterBytes;
  }

  setFat(cluster: number, value: number): void {
    this.view.setUint32(this.fatAt + cluster * 4, value, true);
  }

  fat(cluster: number): number {
    return this.view.getUint32(this.fatAt + cluster * 4, true);
  }

  /** Where the root's entry of that type lies. */
  rootEntry(type: number): number {
    for (let at = this.clusterAt(this.rootCluster); this.bytes[at] !== 0; at += 32)
      if (this.bytes[at] === type) return at;
    throw new Error(`no entry ${type.toString(16)} in the root`);
  }

  get bitmapAt(): number {
    return this.clusterAt(this.view.getUint32(this.rootEntry(0x81) + 20, true));
  }

  isTaken(cluster: number): boolean {
    return ((this.bytes[this.bitmapAt + ((cluster - 2) >> 3)] ?? 0) & (1 << ((cluster - 2) & 7))) !== 0;
  }

  mark(cluster: number, taken: boolean): void {
    const at = this.bitmapAt + ((cluster - 2) >> 3);
    const bit = 1 << ((cluster - 2) & 7);
    this.bytes[at] = taken ? (this.bytes[at] ?? 0) | bit : (this.bytes[at] ?? 0) & ~bit;
  }

  /** The boot checksum of both regions, after a change that it covers. */
  seal(): void {
    for (const region of [0, 12]) {
      const at = this.start + region * this.sector;
      if (region === 12) this.bytes.copyWithin(at, this.start, this.start + 11 * this.sector);
      const sum = rotated(this.bytes.subarray(at, at + 11 * this.sector), 32, [106, 107, 112]);
      for (let i = 0; i < this.sector; i += 4) this.view.setUint32(at + 11 * this.sector + i, sum, true);
    }
  }

  /** Makes the checksum of a set of entries right again. */
  sealSet(at: number): void {
    const count = (this.bytes[at + 1] ?? 0) + 1;
    const sum = rotated(this.bytes.subarray(at, at + 32 * count), 16, [2, 3]);
    this.view.setUint16(at + 2, sum, true);
  }

  /** Where the file entry of that name lies in a folder in one cluster or one piece. */
  fileEntry(name: string, folderCluster = this.rootCluster): number {
    for (let at = this.clusterAt(folderCluster); this.bytes[at] !== 0; at += 32) {
      if (this.bytes[at] !== 0x85) continue;
      const length = this.bytes[at + 35] ?? 0;
      let found = '';
      for (let i = 0; i < length; i++)
        found += String.fromCharCode(
          this.view.getUint16(at + 64 + 32 * Math.floor(i / 15) + 2 + 2 * (i % 15), true),
        );
      if (found === name) return at;
    }
    throw new Error(`no file ${name}`);
  }

  #free(count: number, gap: number): number[] {
    const found: number[] = [];
    for (let cluster = 2; cluster <= this.clusters + 1 && found.length < count; cluster++) {
      const far = found.length === 0 || gap === 0 || cluster > (found.at(-1) ?? 0) + gap;
      if (!this.isTaken(cluster) && far) found.push(cluster);
      else if (gap === 0) found.length = 0;
    }
    if (found.length < count) throw new Error('the card of the test is too small');
    return found;
  }

  #store(bytes: Uint8Array, gap: number | undefined): number {
    const count = Math.ceil(bytes.length / this.clusterBytes);
    if (count === 0) return 0;
    const clusters = this.#free(count, gap ?? 0);
    clusters.forEach((cluster, i) => {
      this.mark(cluster, true);
      const part = bytes.subarray(i * this.clusterBytes, (i + 1) * this.clusterBytes);
      this.bytes.fill(0, this.clusterAt(cluster), this.clusterAt(cluster) + this.clusterBytes);
      this.bytes.set(part, this.clusterAt(cluster));
      if (gap !== undefined) this.setFat(cluster, clusters[i + 1] ?? 0xffffffff);
    });
    return clusters[0] ?? 0;
  }

  /** Appends to a folder of one cluster. */
  #enter(
    folderCluster: number,
    name: string,
    first: number,
    file: { bytes: Uint8Array; attributes: number; chained: boolean; valid: number },
  ): void {
    const parts = Math.ceil(name.length / 15);
    const set = new Uint8Array(32 * (2 + parts));
    const view = new DataView(set.buffer);
    set[0] = 0x85;
    set[1] = 1 + parts;
    view.setUint16(4, file.attributes, true);
    // 2026-10-01 00:00, three times (section 7.4.8).
    for (const at of [8, 12, 16]) view.setUint32(at, ((46 << 9) | (10 << 5) | 1) * 65536, true);
    set[32] = 0xc0;
    set[33] = first === 0 || file.chained ? 0x01 : 0x03;
    set[35] = name.length;
    // The volume's table has most letters as Unicode has them; a ß stays one.
    const upper = [...name]
      .map((letter) => (letter.toUpperCase().length === 1 ? letter.toUpperCase() : letter))
      .join('');
    view.setUint16(
      36,
      rotated(
        [...upper].flatMap((letter) => u16(letter.charCodeAt(0))),
        16,
      ),
      true,
    );
    view.setBigUint64(40, BigInt(file.valid), true);
    view.setUint32(52, first, true);
    view.setBigUint64(56, BigInt(file.bytes.length), true);
    for (let part = 0; part < parts; part++) set[64 + 32 * part] = 0xc1;
    for (let i = 0; i < name.length; i++)
      view.setUint16(64 + 32 * Math.floor(i / 15) + 2 + 2 * (i % 15), name.charCodeAt(i), true);
    let at = this.clusterAt(folderCluster);
    const end = at + this.clusterBytes;
    while (this.bytes[at] !== 0 && at < end) at += 32;
    if (at + set.length > end) throw new Error('the folder of the test is full');
    this.bytes.set(set, at);
    this.sealSet(at);
  }

  #folder(path: readonly string[]): number {
    let cluster = this.rootCluster;
    path.forEach((name) => {
      try {
        cluster = this.view.getUint32(this.fileEntry(name, cluster) + 52, true);
      } catch {
        const bytes = new Uint8Array(this.clusterBytes);
        const first = this.#store(bytes, undefined);
        this.#enter(cluster, name, first, { bytes, attributes: 0x10, chained: false, valid: bytes.length });
        cluster = first;
      }
    });
    return cluster;
  }

  put({ path, bytes, chainedGap, validBytes, attributes = 0x20 }: ExfatFileRecipe): void {
    const parts = path.split('/');
    const folder = this.#folder(parts.slice(0, -1));
    const first = this.#store(bytes, chainedGap);
    const chained = chainedGap !== undefined;
    this.#enter(folder, parts.at(-1) ?? '', first, {
      bytes,
      attributes,
      chained,
      valid: validBytes ?? bytes.length,
    });
  }
}

function inFolder<T>(use: (path: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-exfat-'));
  try {
    return use(join(folder, 'volume.img'));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

export function makeExfatBytes(recipe: ExfatRecipe): Uint8Array<ArrayBuffer> {
  const { sizeBytes, clusterBytes = 4096, label, startSector = 0, files = [] } = recipe;
  const volume = inFolder((path) => {
    makeSparseFile(path, sizeBytes - startSector * 512);
    const args = ['-c', String(clusterBytes), '-b', '4096'];
    execFileSync('mkfs.exfat', [...args, ...(label === undefined ? [] : ['-L', label]), path], {
      stdio: 'ignore',
    });
    return readFileSync(path);
  });
  const bytes = new Uint8Array(sizeBytes);
  bytes.set(volume, startSector * 512);
  if (startSector > 0) {
    const view = new DataView(bytes.buffer);
    bytes[446 + 4] = 0x07;
    view.setUint32(446 + 8, startSector, true);
    view.setUint32(446 + 12, sizeBytes / 512 - startSector, true);
    view.setUint32(440, 0x5a5a1234, true);
    view.setUint16(510, 0xaa55, true);
  }
  const plant = new ExfatPlant(bytes, startSector);
  for (const file of files) plant.put(file);
  let taken = 0;
  for (let cluster = 2; cluster <= plant.clusters + 1; cluster++) if (plant.isTaken(cluster)) taken++;
  bytes[plant.start + 112] = Math.floor((taken * 100) / plant.clusters);
  return bytes;
}

/** What fsck.exfat says of the volume, changing nothing. */
export function fsckExfat(
  bytes: Uint8Array,
  startSector = 0,
): { readonly exit: number; readonly text: string } {
  return inFolder((path) => {
    writeFileSync(path, bytes.subarray(startSector * 512));
    const { status, stdout, stderr } = spawnSync('fsck.exfat', ['-n', path], { encoding: 'utf8' });
    return { exit: status ?? -1, text: `${stdout}${stderr}` };
  });
}
