// What the record knows of each card: what it was prepared with, how it was found since, and at which units it was used.
// Goes by the name that an entry gives the card. Whether it may serve another unit depends on the manifests, and whether
// it still reads right only a look at it can tell: see card-standing.ts and `check`.

import type { EntryBodies, KnownEntry } from './entry.ts';
import { inClaimedOrder } from './entry-order.ts';
import type { OutcomeKind } from './unit-state.ts';

export interface CardUse {
  readonly serial: string;
  readonly outcome: OutcomeKind;
  readonly atMs: number;
}

export interface CardLook {
  readonly verdict: EntryBodies['card-checked']['verdict'];
  /** It was asked for this release; undefined: of the card alone. */
  readonly release: string | undefined;
  /** Codes of the stops. */
  readonly stops: readonly string[];
  readonly atMs: number;
  readonly by: string;
}

/** A card that was prepared on record at least once. Times are milliseconds UTC, as claimed. */
export interface KnownCard {
  /** Its name, or the path of a card image file. */
  readonly card: string;
  /** The newest preparation. */
  readonly prepared: EntryBodies['card-prepared'] & {
    readonly atMs: number;
    readonly by: string;
    readonly entryId: string;
  };
  /** The newest look since then that says something of the release; see `saysOf`. */
  readonly checked: CardLook | null;
  /** When it was last in hand: prepared, or looked at in any way. */
  readonly seenMs: number;
  /** Since it was prepared, in order. */
  readonly uses: readonly CardUse[];
  readonly retired: { readonly why: string; readonly atMs: number } | null;
}

/** The kinds of entries that say anything of a card. */
export const cardEntryKinds = ['card-prepared', 'card-checked', 'card-retired', 'outcome'] as const;

/** As an entry names it: by its whole name, or by the last part of an image file's path where only one has it. */
export function cardNamed<Card extends { readonly card: string }>(
  cards: Iterable<Card>,
  name: string,
): Card | undefined {
  const namesakes: Card[] = [];
  for (const one of cards) {
    if (one.card === name) return one;
    if (one.card.split(/[\\/]/).at(-1) === name) namesakes.push(one);
  }
  return namesakes.length === 1 ? namesakes[0] : undefined;
}

/** Whether a look says that the card is ready for the release that it was prepared for; undefined: it says nothing. */
export function saysOf({ release, verdict }: CardLook, prepared: string): boolean | undefined {
  if (release === prepared) return verdict === 'ready';
  // A card that is ready for another release carries that one.
  return verdict === 'ready' || verdict === 'unsound' ? false : undefined;
}

/** `entries`: all of the kinds above, in any order; others do no harm. Those prepared last come first. */
export function knownCards(entries: readonly KnownEntry[]): KnownCard[] {
  const cards = new Map<string, KnownCard>();
  const find = (name: string) => cards.get(name) ?? cardNamed(cards.values(), name);
  for (const known of inClaimedOrder(entries)) {
    const { claimedMs: atMs, doneBy: by } = known;
    switch (known.kind) {
      case 'card-prepared': {
        const prepared = { ...known.body, atMs, by, entryId: known.id };
        const { card, cardId } = known.body;
        // The same card under another name: what it was called before is written over.
        if (cardId !== undefined)
          for (const other of [...cards.values()])
            if (other.prepared.cardId === cardId) cards.delete(other.card);
        cards.set(card, { card, prepared, checked: null, seenMs: atMs, uses: [], retired: null });
        break;
      }
      case 'card-checked': {
        const card = find(known.body.card);
        const { verdict, release, stops } = known.body;
        const checked = { verdict, release, stops, atMs, by };
        if (card === undefined) break;
        const tells = saysOf(checked, card.prepared.release) !== undefined;
        cards.set(card.card, { ...card, seenMs: atMs, ...(tells ? { checked } : {}) });
        break;
      }
      case 'card-retired': {
        const card = find(known.body.card);
        if (card !== undefined) cards.set(card.card, { ...card, retired: { why: known.body.why, atMs } });
        break;
      }
      case 'outcome': {
        const { card: name, serial, outcome } = known.body;
        const card = name === undefined ? undefined : find(name);
        if (card === undefined) break;
        cards.set(card.card, { ...card, uses: [...card.uses, { serial, outcome, atMs }] });
        break;
      }
    }
  }
  return [...cards.values()].sort((a, b) => b.prepared.atMs - a.prepared.atMs);
}
