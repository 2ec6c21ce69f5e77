// The card in hand, for a walk: what the record knows of it, and a look at it where it can be read here. A card
// that was not shown ready for this release, or has been used since by units that change it, is not known ready.

import { checkCard } from '../card/check/check-card.ts';
import { examineCard } from '../card/look/examine-card.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { Product, Release } from '../manifest/schema.ts';
import type { CardStanding } from '../procedure/walk/walk.ts';
import { cardNamed } from '../record/known-cards.ts';
import type { SheetLanguage } from '../sheet/language.ts';
import type { CardDesk } from '../ui/walk-front.ts';
import { Failure } from '../words/failure.ts';
import { plainText } from '../words/plain-text.ts';
import { type StandingCard, standingCards } from './cards-known.ts';
import type { Context } from './context.ts';

function isReadyFor({ card, standing }: StandingCard, key: string): boolean {
  return standing === 'ready' && card.prepared.release === key;
}

export function cardDesk(
  context: Context,
  product: Product,
  release: Release,
  words: SheetLanguage,
): CardDesk {
  const key = releaseKey(release);
  return {
    async prepared() {
      const ready = (await standingCards(context)).filter((known) => isReadyFor(known, key));
      return ready.map(({ card }) => ({ name: card.card, preparedMs: card.prepared.atMs }));
    },
    async standing(name, path) {
      const known = cardInHand(await standingCards(context), context, name, path);
      const record = recordOf(known, key);
      const look = path === null ? notRead : await lookAt(context, path, product, release);
      const why =
        look.now === 'ready' ? null : (look.why ?? (record === 'ready' ? null : words.walk.cardWhy[record]));
      // What the record keeps is a name: a path where it is nothing else.
      const called = known?.card.card ?? plainText(name, 200) ?? plainText(path ?? '', 4096) ?? '';
      return { name: called, now: look.now, record, why };
    },
  };
}

/** By its name as kept, by the path of an image file, or by that file's name alone. */
function cardInHand(
  cards: readonly StandingCard[],
  { files }: Context,
  name: string,
  path: string | null,
): StandingCard | undefined {
  const absolute = [name, ...(path === null ? [] : [path])].map((one) => files.absolute(one));
  const byPath = cards.find(({ card }) => absolute.includes(card.card));
  if (byPath !== undefined) return byPath;
  const found = cardNamed(
    cards.map(({ card }) => card),
    name,
  );
  return cards.find(({ card }) => card === found);
}

function recordOf(known: StandingCard | undefined, key: string): CardStanding['record'] {
  if (known === undefined) return 'not-known';
  if (known.standing === 'prepare-again' || known.standing === 'collect-first') return 'used';
  return isReadyFor(known, key) ? 'ready' : 'not-ready';
}

interface CardLook {
  readonly now: CardStanding['now'];
  readonly why: string | null;
}

const notRead: CardLook = { now: 'not-read', why: null };

async function lookAt(context: Context, path: string, product: Product, release: Release): Promise<CardLook> {
  try {
    const blocks = context.cards.openToRead(path);
    const line = context.terminal.progress('reading', 'bytes');
    try {
      const checked = await checkCard(examineCard(blocks), blocks, {
        wanted: { release, rule: product.card },
        known: (await context.catalogue()).releases,
        writeProtected: context.cards.isWriteProtected(path),
        progress: line.at,
      });
      if (checked.verdict === 'ready') return { now: 'ready', why: null };
      const stop = checked.findings.findLast(({ severity }) => severity === 'stop');
      return { now: 'not-ready', why: stop?.summary ?? null };
    } finally {
      line.end();
      blocks.close();
    }
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    return { now: 'not-read', why: error.facts.summary };
  }
}
