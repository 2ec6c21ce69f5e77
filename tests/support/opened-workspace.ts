// A workspace as a command has it, for what a test writes into the record or reads from it without a command.

import { compose } from '../../src/compose.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { formatLocalTime } from '../../src/words/local-time.ts';
import { testHost } from './test-host.ts';

export function openedWorkspace(workspace: string) {
  return compose(testHost(), { workspace, json: true, input: false, color: false });
}

/** A card of that name, on record as prepared. */
export async function recordCard(
  workspace: string,
  card: string,
  release: string,
  { verdict = 'ready', atMs }: { verdict?: 'ready' | 'not-ready'; atMs: number },
): Promise<void> {
  const { context, close } = openedWorkspace(workspace);
  const store = await context.record('write');
  const claimedAt = formatLocalTime(atMs, context.clock);
  const body = {
    card,
    release,
    verdict,
    file: { path: 'IMAGE', bytes: 1, sha256: 'ab'.repeat(32) },
    readBack: { method: 'image' as const, sha256: 'ab'.repeat(32) },
    sizeBytes: 4e9,
    fresh: true,
    kept: 0,
    removed: 0,
  };
  await store.append([draftEntry('card-prepared', { claimedAt, typedBy: 'R. Quill' }, body)]);
  close();
}
