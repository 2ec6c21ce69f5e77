// Plants faults in the bytes of a FAT volume. Has its own few lines of arithmetic, so that the code under test
// never says where something lies. Boot sector offsets are those of the Microsoft FAT specification, section 3.

export class Plant {
  readonly bytes: Uint8Array;
  readonly view: DataView;
  readonly start: number;
  readonly bits: 12 | 16 | 32;
  readonly bytesPerSector: number;
  readonly clusterBytes: number;
  readonly fatAt: number;
  readonly fatBytes: number;
  readonly fatCount: number;
  readonly rootAt: number;
  readonly dataAt: number;
  readonly clusters: number;

  constructor(bytes: Uint8Array, startSector = 0) {
    this.bytes = bytes;
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    this.start = startSector * 512;
    const u8 = (at: number) => this.view.getUint8(this.start + at);
    const u16 = (at: number) => this.view.getUint16(this.start + at, true);
    const u32 = (at: number) => this.view.getUint32(this.start + at, true);
    this.bytesPerSector = u16(11);
    this.clusterBytes = u8(13) * this.bytesPerSector;
    this.fatCount = u8(16);
    this.fatAt = this.start + u16(14) * this.bytesPerSector;
    const sectorsPerFat = u16(22) || u32(36);
    this.fatBytes = sectorsPerFat * this.bytesPerSector;
    this.rootAt = this.fatAt + this.fatCount * this.fatBytes;
    this.dataAt = this.rootAt + Math.ceil((u16(17) * 32) / this.bytesPerSector) * this.bytesPerSector;
    const total = (u16(19) || u32(32)) * this.bytesPerSector;
    this.clusters = Math.floor((this.start + total - this.dataAt) / this.clusterBytes);
    this.bits = u16(22) === 0 ? 32 : this.clusters < 4085 ? 12 : 16;
    if (this.bits === 32) this.rootAt = this.clusterAt(u32(44));
  }

  clusterAt(cluster: number): number {
    return this.dataAt + (cluster - 2) * this.clusterBytes;
  }

  /** In the boot sector. */
  boot8(at: number, value: number): void {
    this.view.setUint8(this.start + at, value);
  }
  boot16(at: number, value: number): void {
    this.view.setUint16(this.start + at, value, true);
  }
  boot32(at: number, value: number): void {
    this.view.setUint32(this.start + at, value, true);
  }

  fat(cluster: number): number {
    const at = this.fatAt;
    if (this.bits === 16) return this.view.getUint16(at + cluster * 2, true);
    if (this.bits === 32) return this.view.getUint32(at + cluster * 4, true) & 0x0fffffff;
    const pair = this.view.getUint16(at + Math.floor(cluster * 1.5), true);
    return cluster % 2 ? pair >> 4 : pair & 0xfff;
  }

  /** In all copies, unless one is named. */
  setFat(cluster: number, value: number, copy?: number): void {
    for (let i = 0; i < this.fatCount; i++) {
      if (copy !== undefined && copy !== i) continue;
      const at = this.fatAt + i * this.fatBytes;
      if (this.bits === 16) this.view.setUint16(at + cluster * 2, value, true);
      else if (this.bits === 32) this.view.setUint32(at + cluster * 4, value, true);
      else {
        const where = at + Math.floor(cluster * 1.5);
        const pair = this.view.getUint16(where, true);
        const mixed = cluster % 2 ? (pair & 0x000f) | (value << 4) : (pair & 0xf000) | value;
        this.view.setUint16(where, mixed, true);
      }
    }
  }

  /** The byte offset of the entry with these 11 characters: the first place behind the boot sector. */
  entry(elevenCharacters: string): number {
    const found = Buffer.from(this.bytes.buffer, this.bytes.byteOffset).indexOf(
      elevenCharacters,
      this.fatAt,
      'latin1',
    );
    if (found < 0) throw new Error(`no entry ${elevenCharacters}`);
    return found;
  }

  firstCluster(entryAt: number): number {
    const high = this.bits === 32 ? this.view.getUint16(entryAt + 20, true) * 65536 : 0;
    return this.view.getUint16(entryAt + 26, true) + high;
  }

  setFirstCluster(entryAt: number, cluster: number): void {
    this.view.setUint16(entryAt + 26, cluster & 0xffff, true);
    if (this.bits === 32) this.view.setUint16(entryAt + 20, cluster >>> 16, true);
  }

  /** The clusters of the file whose entry lies there. */
  chain(entryAt: number): number[] {
    const clusters: number[] = [];
    for (let at = this.firstCluster(entryAt); at >= 2 && at <= this.clusters + 1; at = this.fat(at))
      clusters.push(at);
    return clusters;
  }

  /** A free cluster, the n-th from the end. */
  freeCluster(n = 0): number {
    for (let at = this.clusters + 1, seen = 0; at >= 2; at--)
      if (this.fat(at) === 0 && seen++ === n) return at;
    throw new Error('no free cluster');
  }

  get endMark(): number {
    return { 12: 0xfff, 16: 0xffff, 32: 0x0fffffff }[this.bits];
  }
  get badMark(): number {
    return { 12: 0xff7, 16: 0xfff7, 32: 0x0ffffff7 }[this.bits];
  }
}
