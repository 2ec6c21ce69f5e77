// The command `prepare` over a card in memory: the real command, workspace and files, with a card that fails to
// order, a clock that stands still and a record that only counts. Says how the card stands afterwards.

import { createHash } from 'node:crypto';
import { mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { zipArchives } from '../../src/adapters/archives/zip.ts';
import { localFiles } from '../../src/adapters/files/local-files.ts';
import { openWorkspace } from '../../src/adapters/workspace/local-workspace.ts';
import { type CheckedCard, checkCard } from '../../src/card/check/check-card.ts';
import { examineCard } from '../../src/card/look/examine-card.ts';
import { fileChunks } from '../../src/card/look/read-file.ts';
import type { Context } from '../../src/commands/context.ts';
import { run } from '../../src/commands/prepare.ts';
import type { CardRule, Product, Release } from '../../src/manifest/schema.ts';
import type { Cards } from '../../src/ports/blocks.ts';
import { Failure } from '../../src/words/failure.ts';
import { memoryBlocks } from './memory-blocks.ts';

export interface PrepareBench {
  readonly folder: string;
  readonly release: Release;
  readonly rule: CardRule;
  /** Path of the download, where there is one. */
  readonly from: string | undefined;
}

export interface Attempt {
  readonly exit: number;
  /** Of a failure. */
  readonly code: string | undefined;
  readonly summary: string;
  /** Of a failure: the further fields of its JSON. */
  readonly json: Record<string, any>;
  readonly entries: number;
}

export const benchCard = 'card.img';

export function makePrepareBench(
  folder: string,
  release: Release,
  rule: CardRule,
  download: Uint8Array | undefined,
): PrepareBench {
  rmSync(folder, { recursive: true, force: true });
  mkdirSync(folder, { recursive: true });
  const from = download === undefined ? undefined : join(folder, release.image.name);
  if (from !== undefined && download !== undefined) writeFileSync(from, download);
  return { folder, release, rule, from };
}

const noProgress = { at: () => {}, end: () => {} };

export interface AttemptOptions {
  readonly fresh?: boolean;
  readonly size?: string;
  readonly stop?: { readonly aborted: boolean };
  /** The unfinished card image file is removed. */
  readonly onRemove?: () => void;
  /** What the record answers to an entry. */
  readonly recordFails?: Failure;
  /** Happens after the question and before the first write. */
  readonly meanwhile?: () => void;
}

/** Runs the command once. What is no Failure is a bug and is thrown on. */
export async function attemptPrepare(
  bench: PrepareBench,
  cards: Cards,
  options: AttemptOptions = {},
): Promise<Attempt> {
  const { release, rule } = bench;
  let entries = 0;
  const context = {
    workspace: openWorkspace(join(bench.folder, 'workspace'), () => {}),
    files: { ...localFiles, remove: (path: string) => removeFile(path, options) },
    cards,
    clock: { now: () => Date.UTC(2026, 10, 24, 20), offsetMinutes: () => 0, startOfLocalDay: () => 0 },
    stop: options.stop ?? { aborted: false },
    terminal: {
      interactive: false,
      columns: 80,
      colour: false,
      notice: () => {},
      progress: () => noProgress,
    },
    archives: async () => zipArchives,
    catalogue: async () => ({
      products: new Map([[release.product, { id: release.product, card: rule } as unknown as Product]]),
      releases: [release],
      sources: new Map(),
      findings: [],
    }),
    record: async (access: string) =>
      access === 'read'
        ? undefined
        : {
            append: async (drafts: unknown[]) => {
              if (options.recordFails !== undefined) throw options.recordFails;
              entries += drafts.length;
              return drafts.map(() => ({ id: 'one', laptop: 'one', seq: entries, hash: '' }));
            },
          },
    requireTypedBy: async () => {
      options.meanwhile?.();
      return 'a tester';
    },
  } as unknown as Context;
  try {
    const answer = await run(context, [benchCard], {
      for: release.product,
      from: bench.from,
      confirm: options.size === undefined ? benchCard : undefined,
      fresh: options.fresh === true,
      size: options.size,
    });
    return { exit: answer.exit, code: undefined, summary: answer.text, json: answer.json, entries };
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    const { exit, code, summary, more } = error.facts;
    return { exit, code, summary, json: { ...more }, entries };
  }
}

function removeFile(path: string, options: AttemptOptions): void {
  if (path === benchCard) options.onRemove?.();
  else localFiles.remove(path);
}

export async function checkBytes(bench: PrepareBench, bytes: Uint8Array): Promise<CheckedCard> {
  const blocks = memoryBlocks(bytes);
  const { release, rule } = bench;
  return await checkCard(examineCard(blocks), blocks, {
    wanted: { release, rule },
    known: [release],
    writeProtected: false,
  });
}

export const contentOf = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

/** Digest of the contents of every file that the card's folders lead to. */
export function contentsOnCard(bytes: Uint8Array): Set<string> {
  const blocks = memoryBlocks(bytes);
  const { volume } = examineCard(blocks);
  const contents = new Set<string>();
  for (const node of volume?.nodes ?? []) {
    if (node.isFolder || volume === null) continue;
    const hash = createHash('sha256');
    for (const chunk of fileChunks(blocks, volume, node)) hash.update(chunk);
    contents.add(hash.digest('hex'));
  }
  return contents;
}

/** The same of every file in the workspace's `kept/`. */
export function contentsKept(bench: PrepareBench): Set<string> {
  const contents = new Set<string>();
  const walk = (folder: string): void => {
    for (const entry of readdirSync(folder, { withFileTypes: true })) {
      const path = join(folder, entry.name);
      if (entry.isDirectory()) walk(path);
      else contents.add(contentOf(readFileSync(path)));
    }
  };
  try {
    walk(join(bench.folder, 'workspace', 'kept'));
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'ENOENT') throw error;
  }
  return contents;
}
