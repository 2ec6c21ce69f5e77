// What a writer did to the files of one folder, step by step, as strace saw it: each write with its bytes, each flush, each
// name given or taken, and each line that it said. For tests that play the steps again and stop in the middle of one.

import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';

export type Step =
  | { readonly kind: 'write'; readonly file: number; readonly at: number; readonly bytes: Uint8Array }
  | { readonly kind: 'length'; readonly file: number; readonly to: number }
  | { readonly kind: 'flush'; readonly file: number }
  /** A file gets a name, and perhaps another name goes with it. */
  | { readonly kind: 'name'; readonly name: string; readonly file: number; readonly instead?: string }
  | { readonly kind: 'unname'; readonly name: string }
  | { readonly kind: 'flush-names' }
  | { readonly kind: 'said'; readonly lines: string };

export interface RecordedRun {
  readonly steps: readonly Step[];
  /** What lay in the folder before. */
  readonly before: ReadonlyMap<string, Uint8Array>;
  /** Numbers of those files. */
  readonly numbers: ReadonlyMap<string, number>;
}

const calls =
  'openat,pwrite64,write,ftruncate,fsync,fdatasync,link,linkat,rename,renameat,renameat2,unlink,unlinkat,close';
/** By which a file could be changed as well: the steps would not be all of it. */
const unknownCalls = 'open,creat,pwritev,writev,pwritev2,truncate,fallocate,copy_file_range,sendfile';

export interface Writing {
  readonly path: string;
  readonly pairs: number;
  readonly name: string;
  /** All of them in one transaction. */
  readonly inOne?: boolean;
}

/** Runs `node WRITER PATH PAIRS NAME [in-one]`; `folder` is where PATH lies, `scratch` another one for the trace. */
export function recordWrites(
  writer: string,
  { path, pairs, name, inOne = false }: Writing,
  { folder, scratch, before }: { folder: string; scratch: string; before: ReadonlyMap<string, Uint8Array> },
): RecordedRun {
  const trace = join(scratch, 'trace');
  const options = ['-f', '-qq', '-xx', '-s', '10000000', '-e', `trace=${calls},${unknownCalls}`, '-o', trace];
  const command = [...options, process.execPath, writer, path, String(pairs), name];
  if (inOne) command.push('in-one');
  const { status, stderr } = spawnSync('strace', command, { encoding: 'utf8' });
  if (status !== 0) throw new Error(`the writer failed: ${stderr}`);
  const numbers = new Map([...before.keys()].map((known, at) => [known, at + 1]));
  return { before, numbers, steps: new TraceReader(folder, numbers).read(readFileSync(trace, 'latin1')) };
}

class TraceReader {
  readonly #folder: string;
  readonly #steps: Step[] = [];
  /** Of each process: what it has open. */
  readonly #open = new Map<string, number | 'folder'>();
  readonly #names: Map<string, number>;
  #files: number;

  constructor(folder: string, numbers: ReadonlyMap<string, number>) {
    this.#folder = folder;
    this.#names = new Map(numbers);
    this.#files = numbers.size;
  }

  read(trace: string): Step[] {
    const unfinished = new Map<string, string>();
    for (const line of trace.split('\n')) {
      const [, process = '', text = ''] = /^(\d+) +(.*)$/.exec(line) ?? [];
      const begun = /^(.*) <unfinished \.\.\.>$/.exec(text);
      if (begun !== null) {
        unfinished.set(process, begun[1] ?? '');
        continue;
      }
      const resumed = /^<\.\.\. \w+ resumed>(.*)$/.exec(text);
      const whole = resumed === null ? text : `${unfinished.get(process) ?? ''}${resumed[1]}`;
      const call = /^(\w+)\((.*)\) += (-?\d+)/.exec(whole);
      if (call !== null && Number(call[3]) >= 0) this.#take(call[1] ?? '', call[2] ?? '', Number(call[3]));
    }
    return this.#steps;
  }

  #take(call: string, text: string, result: number): void {
    const given = text.match(/"(?:\\x[0-9a-f]{2})*"|[^,\s][^,]*/g) ?? [];
    const handle = given[0] ?? '';
    const pathAt = (at: number) => bytesOf(given[at]).toString();
    if (call === 'openat') this.#opened(pathAt(1), given[2] ?? '', String(result));
    else if (call === 'close') this.#open.delete(handle);
    else if (call === 'pwrite64')
      this.#wrote(handle, bytesOf(given[1]).subarray(0, result), Number(given[3]));
    else if (call === 'write' && handle === '1') this.#steps.push({ kind: 'said', lines: pathAt(1) });
    // The small files beside the record are written once, from their beginning.
    else if (call === 'write') this.#wrote(handle, bytesOf(given[1]).subarray(0, result), 0);
    else if (call === 'ftruncate')
      this.#ofFile(handle, (file) => ({ kind: 'length', file, to: Number(given[1]) }));
    else if (call === 'fsync' || call === 'fdatasync') this.#flushed(handle);
    else if (call === 'link' || call === 'rename') this.#named(pathAt(0), pathAt(1), call === 'rename');
    else if (call === 'unlink') this.#unnamed(pathAt(0));
    // Nothing that changes the folder in another way may be missed.
    else if (text.includes(hexOf(this.#folder)) || this.#open.has(handle))
      throw new Error(`not played: ${call}`);
  }

  #flushed(handle: string): void {
    if (this.#open.get(handle) === 'folder') this.#steps.push({ kind: 'flush-names' });
    this.#ofFile(handle, (file) => ({ kind: 'flush', file }));
  }

  #unnamed(path: string): void {
    const name = this.#nameIn(path);
    if (name === undefined) return;
    this.#names.delete(name);
    this.#steps.push({ kind: 'unname', name });
  }

  #opened(path: string, flags: string, handle: string): void {
    this.#open.delete(handle);
    if (path === this.#folder) this.#open.set(handle, 'folder');
    const name = this.#nameIn(path);
    if (name === undefined) return;
    let file = this.#names.get(name);
    if (file === undefined) {
      if (!flags.includes('O_CREAT')) throw new Error(`${name} was opened and never made`);
      this.#files += 1;
      file = this.#files;
      this.#names.set(name, file);
      this.#steps.push({ kind: 'name', name, file });
    } else if (flags.includes('O_TRUNC')) {
      this.#steps.push({ kind: 'length', file, to: 0 });
    }
    this.#open.set(handle, file);
  }

  #wrote(handle: string, bytes: Uint8Array, at: number): void {
    this.#ofFile(handle, (file) => ({ kind: 'write', file, at, bytes }));
  }

  #ofFile(handle: string, step: (file: number) => Step): void {
    const file = this.#open.get(handle);
    if (typeof file === 'number') this.#steps.push(step(file));
  }

  #named(from: string, to: string, moves: boolean): void {
    const [old, name] = [this.#nameIn(from), this.#nameIn(to)];
    const file = old === undefined ? undefined : this.#names.get(old);
    if (old === undefined || name === undefined || file === undefined) return;
    this.#names.set(name, file);
    if (moves) this.#names.delete(old);
    this.#steps.push({ kind: 'name', name, file, ...(moves ? { instead: old } : {}) });
  }

  #nameIn(path: string): string | undefined {
    return path.startsWith(`${this.#folder}/`) ? path.slice(this.#folder.length + 1) : undefined;
  }
}

const bytesOf = (text = '') => Buffer.from(text.replaceAll('"', '').replaceAll('\\x', ''), 'hex');
const hexOf = (text: string) => Buffer.from(text).toString('hex').replace(/../g, '\\x$&');
