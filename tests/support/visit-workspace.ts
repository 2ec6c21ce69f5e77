// A workspace with the demonstration manifests, a unit of each product and a card that the record knows as ready,
// for tests of visits. Everything is written through the command line or the record itself.

import { cpSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type KnownEntry, knownEntry } from '../../src/record/entry.ts';
import { makeDemoWorkspace } from './demo-workspace.ts';
import { openedWorkspace, recordCard } from './opened-workspace.ts';
import { type CliResult, runCli } from './run-cli.ts';
import { testClock } from './test-clock.ts';
import { asText, type Line, type WalkCase, walkCases } from './walk-script.ts';

export interface VisitWorkspace {
  readonly folder: string;
  readonly workspace: string;
  run(...args: readonly string[]): Promise<CliResult>;
  /** `visit` with these answers, and `--json`. */
  visit(serial: string, lines: readonly Line[], ...args: readonly string[]): Promise<CliResult>;
  /** A card of that name, on record as prepared. */
  card(name: string, release: string, verdict?: 'ready' | 'not-ready', atMs?: number): Promise<void>;
  /** All entries of this laptop, in their order. */
  entries(): Promise<KnownEntry[]>;
  remove(): void;
}

const hourMs = 3600_000;

/** A workspace is made once for each list of units, and copied from then on. */
const templates = new Map<string, Promise<string>>();

async function template(cases: readonly WalkCase[]): Promise<string> {
  const { folder, workspace } = makeDemoWorkspace();
  const table = join(folder, 'units.csv');
  const rows = cases.map(
    ({ serial, product, before, revision }) => `${serial},Alder Farm,${product},${revision},${before}`,
  );
  writeFileSync(table, `serial,site,product,hardware,version\n${rows.join('\n')}\n`);
  const taken = await runCli(['units', 'import', table, '--as', 'R. Quill', '--json'], { workspace });
  if (taken.exit !== 0) throw new Error(taken.stdout);
  process.once('exit', () => rmSync(folder, { recursive: true, force: true }));
  return workspace;
}

/** Cards and units are older than any visit of a test, which begins within the last 20 hours. */
export async function visitWorkspace(cases: readonly WalkCase[] = walkCases): Promise<VisitWorkspace> {
  const key = JSON.stringify(cases);
  const source = templates.get(key) ?? template(cases);
  templates.set(key, source);
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-visit-'));
  const workspace = join(folder, 'workspace');
  cpSync(await source, workspace, { recursive: true });
  const run = (...args: readonly string[]) => runCli(args, { workspace });
  const opened = () => openedWorkspace(workspace);
  let files = 0;
  const made: VisitWorkspace = {
    folder,
    workspace,
    run,
    visit(serial, lines, ...args) {
      files += 1;
      const path = join(folder, `answers-${files}.jsonl`);
      writeFileSync(path, asText(lines));
      return run('visit', serial, '--answers', path, '--as', 'R. Quill', '--json', ...args);
    },
    card: (name, release, verdict = 'ready', atMs = testClock.now() - 30 * hourMs) =>
      recordCard(workspace, name, release, { verdict, atMs }),
    async entries() {
      const { context, close } = opened();
      const store = await context.record('read');
      const list: KnownEntry[] = [];
      for await (const entry of store!.entries({ laptop: store!.laptop })) {
        const known = knownEntry(entry);
        if (known !== undefined) list.push(known);
      }
      close();
      return list;
    },
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
  return made;
}

/** An instant far enough in the past for the longest walk. */
export const visitStartMs = () => testClock.now() - 10 * hourMs;
