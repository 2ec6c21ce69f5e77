// Where a test of a card was stopped, so that a later run goes on from there: in the workspace, by what identifies the
// card. A journal that is not about this very card, or cannot be read, is as good as none.

import { sha256Hex } from '../bytes/sha256.ts';
import type { CapacityGoal } from '../card/capacity/capacity-plan.ts';
import type { CardIdentity } from '../ports/blocks.ts';
import type { TestPoint } from '../transfer/test-card.ts';
import { Failure } from '../words/failure.ts';
import type { Context } from './context.ts';

export interface CardTestJournal {
  /** Of the key stream, lower-case hex. */
  readonly key: string;
  readonly goal: CapacityGoal;
  readonly point: TestPoint;
}

interface Kept extends CardTestJournal {
  readonly format: 1;
  readonly sizeBytes: number;
  readonly firstSectorsSha256: string;
  /** What lies on the card and where: free space that changed is another test. */
  readonly seen: string;
}

const maxBytes = 32 * 2 ** 20;

function placeOf({ workspace }: Context, { sizeBytes, firstSectorsSha256 }: CardIdentity): string {
  const name = sha256Hex(JSON.stringify([sizeBytes, firstSectorsSha256])).slice(0, 16);
  return `${workspace.root}/card-tests/${name}.json`;
}

export function readJournal(
  context: Context,
  identity: CardIdentity,
  seen: string,
): CardTestJournal | undefined {
  const path = placeOf(context, identity);
  if (context.files.facts(path)?.kind !== 'file') return undefined;
  try {
    const kept = JSON.parse(context.files.readText(path, maxBytes)) as Kept;
    const isThis =
      kept.format === 1 &&
      kept.sizeBytes === identity.sizeBytes &&
      kept.firstSectorsSha256 === identity.firstSectorsSha256 &&
      kept.seen === seen &&
      /^[0-9a-f]{32}$/.test(kept.key) &&
      Number.isSafeInteger(kept.point.writtenBytes) &&
      Number.isSafeInteger(kept.point.readBytes) &&
      Array.isArray(kept.point.readings);
    return isThis ? kept : undefined;
  } catch (error) {
    if (error instanceof Failure || error instanceof SyntaxError || error instanceof TypeError)
      return undefined;
    throw error;
  }
}

export function writeJournal(
  context: Context,
  { sizeBytes, firstSectorsSha256, ...rest }: CardIdentity,
  seen: string,
  journal: CardTestJournal,
): void {
  const path = placeOf(context, { sizeBytes, firstSectorsSha256, ...rest });
  const kept: Kept = { format: 1, sizeBytes, firstSectorsSha256, seen, ...journal };
  context.workspace.make();
  context.files.makeFolder(path.slice(0, path.lastIndexOf('/')));
  context.files.write(path, JSON.stringify(kept));
}

export function removeJournal(context: Context, identity: CardIdentity): void {
  const path = placeOf(context, identity);
  if (context.files.facts(path) !== undefined) context.files.remove(path);
}
