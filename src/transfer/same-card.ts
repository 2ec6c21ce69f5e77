// The card that was looked at and confirmed, made sure of once more right before the first write: device, size, first
// sectors, and everything that the plan was made from. Any change is a refusal; nothing is written here.

import type { Blocks, CardIdentity, Cards } from '../ports/blocks.ts';
import { Failure } from '../words/failure.ts';
import { lookAtCard } from './look-at-card.ts';

export interface SeenCard {
  readonly path: string;
  readonly identity: CardIdentity;
  /** The digest of the look that the plan was made from. */
  readonly seen: string;
}

export function cardChanged(path: string, what: string): Failure {
  return new Failure({
    code: 'card-changed',
    exit: 5,
    summary: 'This is no longer the card that was looked at.',
    seen: `${what} changed`,
    where: path,
    next: 'Leave the card alone meanwhile, then run the same command again.',
  });
}

/** `blocks`: opened to write. Failure exit 5 where anything is another one; `requireSameDrive` throws its own. */
export async function requireSameCard(
  cards: Cards,
  blocks: Blocks,
  { path, identity, seen }: SeenCard,
  requireSameDrive?: () => Promise<void>,
): Promise<void> {
  await requireSameDrive?.();
  const now = cards.identify(path);
  const changed =
    now.sizeBytes !== identity.sizeBytes || blocks.sizeBytes !== identity.sizeBytes
      ? 'its size'
      : now.device !== identity.device || blocks.device !== identity.device
        ? 'the file or device behind it'
        : now.firstSectorsSha256 !== identity.firstSectorsSha256
          ? 'its first sectors'
          : (await lookAtCard(blocks)).seen !== seen
            ? 'what is on it'
            : undefined;
  if (changed !== undefined) throw cardChanged(path, changed);
}
