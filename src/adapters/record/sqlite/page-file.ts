// A database file and its write-ahead log as pages, read without SQLite: for a record that SQLite refuses. A page that
// is cut short ends with zeros. Checks no checksums: what comes out must prove itself.

import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import type { PageSource } from './carve-rows.ts';

const usualPageBytes = 4096;
const walHeaderBytes = 32;
const frameHeaderBytes = 24;

/** Close it at the end. Either file may be absent; undefined where both are. */
export function openPages(path: string): (PageSource & { close(): void }) | undefined {
  const file = openIfThere(path);
  const log = openIfThere(`${path}-wal`);
  if (file === undefined && log === undefined) return undefined;
  const pageBytes = pageBytesOf(file, log);
  const frames = framesOf(log, pageBytes);
  const inFile = file === undefined ? 0 : Math.ceil(file.sizeBytes / pageBytes);
  const framePage = (at: number) => readAt(log, at + frameHeaderBytes, pageBytes);
  return {
    pageBytes,
    *pages() {
      for (let number = 1; number <= inFile; number++) {
        yield { number, bytes: readAt(file, (number - 1) * pageBytes, pageBytes) };
      }
      for (const [number, places] of frames) {
        for (const at of places) yield { number, bytes: framePage(at) };
      }
    },
    copiesOf(number) {
      const newest = frames.get(number)?.at(-1);
      const copies = newest === undefined ? [] : [framePage(newest)];
      if (number >= 1 && number <= inFile) copies.push(readAt(file, (number - 1) * pageBytes, pageBytes));
      return copies;
    },
    close() {
      for (const opened of [file, log]) if (opened !== undefined) closeSync(opened.handle);
    },
  };
}

interface Opened {
  readonly handle: number;
  readonly sizeBytes: number;
}

function openIfThere(path: string): Opened | undefined {
  try {
    const handle = openSync(path, 'r');
    const stats = fstatSync(handle);
    if (stats.isFile()) return { handle, sizeBytes: stats.size };
    closeSync(handle);
  } catch {
    // Not there, or not to be read: then nothing can be saved from it.
  }
  return undefined;
}

/** Where both headers are gone: as this tool makes its records. */
function pageBytesOf(file: Opened | undefined, log: Opened | undefined): number {
  const told = [readAt(file, 16, 2).readUInt16BE(0), readAt(log, 8, 4).readUInt32BE(0)];
  const isSize = (value: number) => value >= 512 && value <= 32768 && (value & (value - 1)) === 0;
  return told.find(isSize) ?? usualPageBytes;
}

/** Each page's places in the log, in the order in which they were written. */
function framesOf(log: Opened | undefined, pageBytes: number): Map<number, number[]> {
  const frames = new Map<number, number[]>();
  const step = frameHeaderBytes + pageBytes;
  for (let at = walHeaderBytes; log !== undefined && at + step <= log.sizeBytes; at += step) {
    const number = readAt(log, at, 4).readUInt32BE(0);
    frames.set(number, [...(frames.get(number) ?? []), at]);
  }
  return frames;
}

function readAt(opened: Opened | undefined, offset: number, length: number): Buffer {
  const bytes = Buffer.alloc(length);
  if (opened !== undefined) {
    try {
      readSync(opened.handle, bytes, 0, length, offset);
    } catch {
      // A bad sector: this page is lost, the others are not.
    }
  }
  return bytes;
}
