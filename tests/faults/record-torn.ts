// The power fails in the middle of the writer's n-th step: its last write is on the disk in part, what was not flushed is
// there or not, in any order. Each time the record is opened and checked twice: what the writer had said was written is
// there to the hash, the rest whole or absent; and the next writer goes on. The same of one transaction that is larger than
// what SQLite holds in memory, so that much of it is on the disk before it is ended.

import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect } from 'vitest';
import { applicationId, migrations } from '../../src/adapters/record/sqlite/migrations.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { bundleForNode } from '../support/bundle-for-node.ts';
import { seededNumbers } from '../support/faulty-blocks.ts';
import { type Crash, diskAfter, layOut, sectorBytes } from '../support/power-loss.ts';
import { type RecordedRun, recordWrites, type Step } from '../support/recorded-writes.ts';
import { sqlitePlace } from '../support/sqlite-place.ts';

export interface TornLoop {
  /** The test that plays it, for the command that plays one case again. */
  readonly file: string;
  readonly project: 'default' | 'long';
  readonly pairs: number;
  /** Written and closed before; 0: from nothing; or the empty record of a version before this one, to be brought up to date. */
  readonly pairsBefore: number | 'older';
  /** Every n-th step is cut, from a place of its own. */
  readonly cutEvery: number;
  /** So many cases of unflushed sectors by chance. */
  readonly byChance: number;
  /** All pairs in one transaction; then the steps around each flush are cut as well. */
  readonly inOne?: boolean;
  /** A disk whose flushes do nothing: what was said is lost, and that must be seen. */
  readonly flushesLie?: boolean;
}

interface Case {
  readonly id: string;
  readonly crash: Crash;
}

/** How many cases were played, and those that told of a loss, as id, reason and the command that plays it again. */
export async function tearEachStep(loop: TornLoop) {
  const scratch = mkdtempSync(join(tmpdir(), 'slotproof-torn-'));
  try {
    const run = await recorded(loop, scratch);
    const seed = Number(process.env.SLOTPROOF_SEED ?? Date.now() % 1_000_000);
    const only = process.env.SLOTPROOF_TORN;
    const cases = casesOf(run, loop, seed).filter(({ id }) => only === undefined || id === only);
    const lost: string[] = [];
    let entries = 0;
    for (const { id, crash } of cases) {
      try {
        entries = Math.max(entries, await checkAfter(run, crash, loop));
      } catch (error) {
        const again = `SLOTPROOF_SEED=${seed} SLOTPROOF_TORN=${id} npx vitest run --project ${loop.project} ${loop.file}`;
        lost.push(`${id}: ${error instanceof Error ? error.message : error}\nRun it again: ${again}`);
      }
    }
    return { played: cases.length, lost, steps: run.steps.length, entries, ...whatWasWritten(run) };
  } finally {
    rmSync(scratch, { recursive: true, force: true });
  }
}

async function recorded(
  { pairs, pairsBefore, inOne = false }: TornLoop,
  scratch: string,
): Promise<RecordedRun> {
  const writer = await bundleForNode('record-writer', scratch);
  const place = sqlitePlace();
  const { folder, path } = place;
  try {
    const write = (count: number, before: ReadonlyMap<string, Uint8Array>, together = false) => {
      const writing = { path, pairs: count, name: `w${before.size}`, inOne: together };
      return recordWrites(writer, writing, { folder, scratch, before });
    };
    if (pairsBefore === 'older') makeOlder(path);
    else if (pairsBefore > 0) write(pairsBefore, new Map());
    const run = write(pairs, filesIn(folder), inOne);
    // Played to its end it is what the writer left, to the byte: nothing was missed that changes a file.
    const played = diskAfter(run, { mode: 'cut', step: run.steps.length, bytes: 0 });
    const left = filesIn(folder);
    expect([...played.keys()].sort()).toEqual([...left.keys()].sort());
    for (const [name, bytes] of left)
      expect(Buffer.compare(bytes, played.get(name) ?? Buffer.alloc(0)), name).toBe(0);
    return run;
  } finally {
    place.remove();
  }
}

function makeOlder(path: string): void {
  const database = new Database(path);
  database.pragma('journal_mode = WAL');
  database.pragma(`application_id = ${applicationId}`);
  for (const step of migrations.slice(0, -1)) database.exec(step);
  database.pragma(`user_version = ${migrations.length - 1}`);
  database.prepare('INSERT INTO own (one, laptop) VALUES (1, ?)').run('q2345678');
  database.close();
}

const filesIn = (folder: string) =>
  new Map(readdirSync(folder).map((name) => [name, readFileSync(join(folder, name))]));

/**
 * `writtenBack`: the log was written into the record's own file while more was still to come. `spilledBytes`: so much of a
 * transaction was written to the log before its last entry was handed over.
 */
function whatWasWritten({ steps, numbers }: RecordedRun) {
  const record = numbers.get('record.db');
  const first = steps.findIndex((step) => step.kind === 'write' && step.file === record);
  const handedOver = steps.findIndex((step) => step.kind === 'said' && step.lines === '\n');
  const sizes = steps.slice(0, Math.max(0, handedOver)).map((step) => lengthOf(step));
  return {
    writtenBack: first >= 0 && steps.slice(first).some(({ kind }) => kind === 'said'),
    spilledBytes: sizes.reduce((sum, bytes) => sum + bytes, 0),
  };
}

const lengthOf = (step: Step) => (step.kind === 'write' ? step.bytes.length : 0);

function casesOf({ steps }: RecordedRun, { cutEvery, byChance, inOne }: TornLoop, seed: number): Case[] {
  const cases: Case[] = [];
  const chosen = new Set<number>();
  for (let step = seed % cutEvery; step <= steps.length; step += cutEvery) chosen.add(step);
  if (inOne === true) {
    for (const [at, { kind }] of steps.entries())
      if (kind === 'flush') for (const step of [at - 1, at, at + 1]) chosen.add(step);
  }
  for (const step of chosen) {
    for (const bytes of cutsOf(steps[step]))
      cases.push({ id: `cut:${step}:${bytes}`, crash: { mode: 'cut', step, bytes } });
  }
  for (let at = 0; at < byChance; at++) {
    const numbers = seededNumbers(seed + at);
    const step = Math.floor(numbers() * (steps.length + 1));
    cases.push({ id: `power:${at}`, crash: { mode: 'power', step, numbers } });
  }
  return cases;
}

/** Nothing of it, a byte, a sector, a place within one, and all but the end. */
function cutsOf(step: Step | undefined): number[] {
  if (step?.kind !== 'write') return [0];
  const { length } = step.bytes;
  const cuts = [
    0,
    1,
    sectorBytes,
    sectorBytes + 188,
    5 * sectorBytes,
    length / 2,
    length - sectorBytes,
    length - 1,
  ];
  return [...new Set(cuts.map(Math.floor))].filter((bytes) => bytes >= 0 && bytes < length);
}

async function checkAfter(run: RecordedRun, crash: Crash, loop: TornLoop): Promise<number> {
  const { flushesLie, inOne, pairs, pairsBefore } = loop;
  const place = sqlitePlace();
  try {
    layOut(diskAfter(run, crash, flushesLie), place.folder);
    const said = saidBefore(run, crash.step);
    let entries: number | undefined;
    for (const look of ['first', 'second']) {
      const store = place.tryOpen('read');
      if (store === undefined) {
        expect(said, 'gone before the record was made').toEqual([]);
        entries = 0;
        continue;
      }
      const check = await store.check();
      expect(check.findings).toEqual([]);
      if (inOne === true) {
        const before = 2 * Number(pairsBefore);
        expect([before, before + 2 * pairs], 'all of it or nothing').toContain(check.entries);
      }
      expect(check.entries % 2, 'half of a pair').toBe(0);
      for (const [id, hash] of said) expect((await store.entry(id))?.hash, id).toBe(hash);
      if (entries !== undefined) expect(check.entries, look).toBe(entries);
      entries = check.entries;
      store.close();
    }
    const store = place.open('write');
    const signature = { claimedAt: '2026-01-02T00:00:00.000+00:00', typedBy: 'R. Quill' };
    await store.append([draftEntry('note', signature, { text: 'after the power came back' })]);
    const check = await store.check();
    expect(check.findings, 'after the next writer').toEqual([]);
    expect(check.entries).toBe((entries ?? 0) + 1);
    return entries ?? 0;
  } finally {
    place.remove();
  }
}

function saidBefore({ steps }: RecordedRun, step: number): [id: string, hash: string][] {
  return steps
    .slice(0, step)
    .flatMap((one) => (one.kind === 'said' ? one.lines.split('\n').filter((line) => line !== '') : []))
    .map((line) => line.split(' ') as [string, string]);
}
