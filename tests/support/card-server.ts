// Serves card image files as disks to an emulator (Network Block Device, fixed newstyle, as the protocol's own document
// has it), one export a file, each with faults to order. Knows nothing of file systems; asserts nothing.

import { closeSync, fstatSync, openSync, readSync, writeSync } from 'node:fs';
import { createServer, type Server, type Socket } from 'node:net';

/** Places are bytes; a request strikes where it touches one of the sectors named. */
export interface CardFaults {
  readonly failWritesAt?: number;
  readonly failReadsAt?: number;
  /** From here on, counted in bytes written, every write gets an I/O error. */
  readonly failWritesAfter?: number;
  /** From here on writes succeed and are not kept. */
  readonly dropWritesAfter?: number;
  /** One bit of this sector reads back wrong once it was written. */
  readonly flipReadsAt?: number;
  /** So long a write takes, in milliseconds. Nothing else is answered meanwhile. */
  readonly slowWritesMs?: number;
  /** What the card says of itself; its addresses wrap around at the end of the file. */
  readonly saysBytes?: number;
  /** Out of its slot once this many bytes were written, or read after writing has begun. */
  readonly pullAfterWritten?: number;
  readonly pullAfterRead?: number;
}

export interface ServedCard {
  readonly name: string;
  readonly path: string;
  readonly faults: CardFaults;
  /** Told once, when it is to be pulled out. */
  readonly onPull?: () => void;
}

const sectorBytes = 512;
const ioError = 5;
const magic = {
  option: 0x49484156454f5054n,
  reply: 0x3e889045565a9n,
  request: 0x25609513,
  answer: 0x67446698,
};
const flags = { fixed: 1, noZeroes: 2, has: 1, flush: 4, fua: 8 };

function fields(...parts: readonly (readonly [value: number | bigint, bytes: 2 | 4 | 8])[]): Buffer {
  return Buffer.concat(
    parts.map(([value, bytes]) => {
      const buffer = Buffer.alloc(bytes);
      if (bytes === 8) buffer.writeBigUInt64BE(BigInt(value));
      else buffer.writeUIntBE(Number(value), 0, bytes);
      return buffer;
    }),
  );
}

/** The medium of one card, with what is wrong with it. */
class Medium {
  readonly #handle: number;
  readonly #realBytes: number;
  readonly #card: ServedCard;
  #written = 0;
  #read = 0;
  #pulled = false;

  constructor(card: ServedCard) {
    this.#card = card;
    this.#handle = openSync(card.path, 'r+');
    this.#realBytes = fstatSync(this.#handle).size;
  }

  get sizeBytes(): number {
    return this.#card.faults.saysBytes ?? this.#realBytes;
  }

  close(): void {
    closeSync(this.#handle);
  }

  #pull(): void {
    if (this.#pulled) return;
    this.#pulled = true;
    this.#card.onPull?.();
  }

  #pieces(offset: number, bytes: Buffer, act: (piece: Buffer, at: number) => void): void {
    for (let done = 0; done < bytes.length; ) {
      const at = (offset + done) % this.#realBytes;
      const length = Math.min(bytes.length - done, this.#realBytes - at);
      act(bytes.subarray(done, done + length), at);
      done += length;
    }
  }

  /** undefined: an I/O error. */
  read(offset: number, length: number): Buffer | undefined {
    const { failReadsAt, flipReadsAt, pullAfterRead } = this.#card.faults;
    const touches = (at: number | undefined) =>
      at !== undefined && offset < at + sectorBytes && at < offset + length;
    if (this.#written > 0 && pullAfterRead !== undefined) {
      this.#read += length;
      if (this.#read > pullAfterRead) this.#pull();
    }
    if (this.#pulled || (touches(failReadsAt) && this.#written > 0)) return undefined;
    const bytes = Buffer.alloc(length);
    this.#pieces(offset, bytes, (piece, at) => void readSync(this.#handle, piece, 0, piece.length, at));
    if (touches(flipReadsAt) && this.#written > 0) {
      const place = Math.max(0, (flipReadsAt ?? 0) - offset);
      bytes[place] = (bytes[place] ?? 0) ^ 1;
    }
    return bytes;
  }

  write(offset: number, bytes: Buffer): boolean {
    const { failWritesAt, failWritesAfter, dropWritesAfter, pullAfterWritten, slowWritesMs } =
      this.#card.faults;
    const touches =
      failWritesAt !== undefined &&
      offset < failWritesAt + sectorBytes &&
      failWritesAt < offset + bytes.length;
    if (pullAfterWritten !== undefined && this.#written >= pullAfterWritten) this.#pull();
    if (this.#pulled || touches || this.#written >= (failWritesAfter ?? Infinity)) return false;
    this.#written += bytes.length;
    if (slowWritesMs !== undefined)
      Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, slowWritesMs);
    if (this.#written > (dropWritesAfter ?? Infinity)) return true;
    this.#pieces(offset, bytes, (piece, at) => void writeSync(this.#handle, piece, 0, piece.length, at));
    return true;
  }
}

/** One connection: first the options, then requests until it hangs up. */
class Connection {
  readonly #socket: Socket;
  readonly #media: ReadonlyMap<string, Medium>;
  #waiting: Buffer = Buffer.alloc(0);
  #stage: 'client-flags' | 'options' | 'requests' = 'client-flags';
  #medium: Medium | undefined;

  constructor(socket: Socket, media: ReadonlyMap<string, Medium>) {
    this.#socket = socket;
    this.#media = media;
    socket.on('error', () => {});
    socket.write(
      Buffer.concat([Buffer.from('NBDMAGIC'), fields([magic.option, 8], [flags.fixed | flags.noZeroes, 2])]),
    );
    socket.on('data', (data) => {
      this.#waiting = Buffer.concat([this.#waiting, data]);
      while (this.#step());
    });
  }

  #take(length: number): Buffer {
    const taken = this.#waiting.subarray(0, length);
    this.#waiting = this.#waiting.subarray(length);
    return taken;
  }

  /** false: more has to come first. */
  #step(): boolean {
    if (this.#stage === 'client-flags') {
      if (this.#waiting.length < 4) return false;
      this.#take(4);
      this.#stage = 'options';
      return true;
    }
    return this.#stage === 'options' ? this.#option() : this.#request();
  }

  #option(): boolean {
    if (this.#waiting.length < 16) return false;
    const option = this.#waiting.readUInt32BE(8);
    const length = this.#waiting.readUInt32BE(12);
    if (this.#waiting.length < 16 + length) return false;
    const data = this.#take(16 + length).subarray(16);
    const reply = (kind: number, body: Uint8Array = Buffer.alloc(0)) =>
      this.#socket.write(
        Buffer.concat([fields([magic.reply, 8], [option, 4], [kind, 4], [body.length, 4]), body]),
      );
    const [abort, info, go] = [2, 6, 7];
    if (option === info || option === go) {
      const name = data.subarray(4, 4 + data.readUInt32BE(0)).toString();
      this.#medium = this.#media.get(name);
      if (this.#medium === undefined) {
        reply(0x8000_0006);
        return true;
      }
      reply(3, fields([0, 2], [this.#medium.sizeBytes, 8], [flags.has | flags.flush | flags.fua, 2]));
      reply(1);
      if (option === go) this.#stage = 'requests';
    } else if (option === abort) {
      reply(1);
      this.#socket.end();
    } else reply(0x8000_0001);
    return true;
  }

  #request(): boolean {
    if (this.#waiting.length < 28) return false;
    const [isRead, isWrite, hangUp] = [0, 1, 2];
    const kind = this.#waiting.readUInt16BE(6);
    const length = this.#waiting.readUInt32BE(24);
    if (kind === isWrite && this.#waiting.length < 28 + length) return false;
    const head = Buffer.from(this.#take(28));
    const data = kind === isWrite ? this.#take(length) : undefined;
    const offset = Number(head.readBigUInt64BE(16));
    const answer = (error: number, body: Uint8Array = Buffer.alloc(0)) =>
      this.#socket.write(Buffer.concat([fields([magic.answer, 4], [error, 4]), head.subarray(8, 16), body]));
    if (kind === hangUp) this.#socket.end();
    else if (kind === isRead) {
      const bytes = this.#medium?.read(offset, length);
      if (bytes === undefined) answer(ioError);
      else answer(0, bytes);
    } else if (data !== undefined) answer(this.#medium?.write(offset, data) === true ? 0 : ioError);
    else answer(0);
    return true;
  }
}

export interface CardServer {
  /** As the emulator names an export. */
  uri(name: string): string;
  close(): void;
}

export async function serveCards(socketPath: string, cards: readonly ServedCard[]): Promise<CardServer> {
  const media = new Map(cards.map((card) => [card.name, new Medium(card)]));
  const server: Server = createServer((socket) => void new Connection(socket, media));
  await new Promise<void>((resolve) => server.listen(socketPath, resolve));
  return {
    uri: (name) => `nbd+unix:///${name}?socket=${socketPath}`,
    close() {
      server.close();
      for (const medium of media.values()) medium.close();
    },
  };
}
