// What lies on the disk when the power fails in the middle of a step of a recorded run. A flush holds what was written before
// it; of what was not flushed anything may be there: all of it up to a cut through the last write, or any sectors of any of
// the writes, in any order. Names are kept in order, and for sure only once the folder was flushed. Memory that programs
// share (-shm) is gone.

import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { RecordedRun, Step } from './recorded-writes.ts';

export type Crash =
  /** All steps before it are on the disk, and so many bytes of it. */
  | { readonly mode: 'cut'; readonly step: number; readonly bytes: number }
  /** What was not flushed is there by chance, sector by sector. */
  | { readonly mode: 'power'; readonly step: number; readonly numbers: () => number };

type Change = Extract<Step, { kind: 'write' | 'length' }>;
type Naming = Extract<Step, { kind: 'name' | 'unname' }>;

export const sectorBytes = 512;

/** Name -> bytes. `flushesLie`: a disk that says a file is flushed and has not done it. */
export function diskAfter(run: RecordedRun, crash: Crash, flushesLie = false): Map<string, Uint8Array> {
  const contents = new Map<number, Content>();
  const contentOf = (file: number) => {
    const content = contents.get(file) ?? new Content(new Uint8Array());
    contents.set(file, content);
    return content;
  };
  const names = new Map<string, number>(run.numbers);
  for (const [name, number] of run.numbers)
    contents.set(number, new Content(run.before.get(name) ?? new Uint8Array()));
  const pending = new Map<number, Change[]>();
  let namings: Naming[] = [];
  const settle = (file: number, changes: readonly Change[]) => {
    for (const change of changes) contentOf(file).take(change);
  };
  const take = (step: Step) => {
    if (step.kind === 'write' || step.kind === 'length') {
      const changes = pending.get(step.file);
      if (changes === undefined) pending.set(step.file, [step]);
      else changes.push(step);
    }
    if (step.kind === 'name' || step.kind === 'unname') namings.push(step);
    if (step.kind === 'flush' && !flushesLie) {
      settle(step.file, pending.get(step.file) ?? []);
      pending.delete(step.file);
    }
    if (step.kind === 'flush-names') {
      for (const naming of namings) rename(names, naming);
      namings = [];
    }
  };
  for (const step of run.steps.slice(0, crash.step)) take(step);
  const last = run.steps[crash.step];
  if (crash.mode === 'cut') {
    if (last?.kind === 'write' && crash.bytes > 0)
      take({ ...last, bytes: last.bytes.subarray(0, crash.bytes) });
    for (const [file, changes] of pending) settle(file, changes);
    for (const naming of namings) rename(names, naming);
  } else {
    // A flush that was under way has perhaps done some of its work: that is what chance plays anyway.
    if (last?.kind === 'write' || last?.kind === 'length') take(last);
    for (const [file, changes] of pending) settle(file, byChance(changes, crash.numbers));
    for (const naming of namings.slice(0, Math.floor(crash.numbers() * (namings.length + 1))))
      rename(names, naming);
  }
  const disk = new Map<string, Uint8Array>();
  for (const [name, file] of names) if (!name.endsWith('-shm')) disk.set(name, contentOf(file).bytes());
  return disk;
}

export function layOut(disk: ReadonlyMap<string, Uint8Array>, folder: string): void {
  mkdirSync(folder, { recursive: true });
  for (const [name, bytes] of disk) writeFileSync(join(folder, name), bytes, { mode: 0o600 });
}

function rename(names: Map<string, number>, step: Naming): void {
  if (step.kind === 'unname') names.delete(step.name);
  else {
    names.set(step.name, step.file);
    if (step.instead !== undefined) names.delete(step.instead);
  }
}

/** Of one file: grows in place, since a log takes thousands of writes. */
class Content {
  #room: Uint8Array;
  #length: number;

  constructor(bytes: Uint8Array) {
    // Not slice(): a Buffer's shares its memory.
    this.#room = new Uint8Array(bytes);
    this.#length = bytes.length;
  }

  take(change: Change): void {
    if (change.kind === 'length') {
      if (change.to < this.#length) this.#room.fill(0, change.to, this.#length);
      this.#reach(change.to);
      this.#length = change.to;
      return;
    }
    const end = change.at + change.bytes.length;
    this.#reach(end);
    this.#room.set(change.bytes, change.at);
    this.#length = Math.max(this.#length, end);
  }

  bytes(): Uint8Array {
    return this.#room.slice(0, this.#length);
  }

  #reach(length: number): void {
    if (length <= this.#room.length) return;
    const room = new Uint8Array(2 * length);
    room.set(this.#room);
    this.#room = room;
  }
}

/** Some of the sectors of some of the changes, in another order. */
function byChance(changes: readonly Change[], numbers: () => number): Change[] {
  const pieces = changes.flatMap((change) => (change.kind === 'write' ? sectorsOf(change) : [change]));
  const share = [0, 0.2, 0.5, 0.8, 1][Math.floor(numbers() * 5)] ?? 1;
  const landed = pieces.filter(() => numbers() < share);
  for (let at = landed.length - 1; at > 0; at--) {
    const other = Math.floor(numbers() * (at + 1));
    const [one, two] = [landed[at], landed[other]];
    if (one !== undefined && two !== undefined) [landed[at], landed[other]] = [two, one];
  }
  return landed;
}

function sectorsOf(change: Extract<Change, { kind: 'write' }>): Change[] {
  const pieces: Change[] = [];
  const end = change.at + change.bytes.length;
  for (let at = change.at; at < end; ) {
    const next = Math.min(end, (Math.floor(at / sectorBytes) + 1) * sectorBytes);
    pieces.push({ ...change, at, bytes: change.bytes.subarray(at - change.at, next - change.at) });
    at = next;
  }
  return pieces;
}
