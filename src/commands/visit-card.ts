// The card in hand, for a walk: what the record knows of it, and a look at it where it can be read here. A card
// that was not shown ready for this release, or has been used since by units that change it, is not known ready.

import { checkCard } from '../card/check/check-card.ts';
import { examineCard } from '../card/look/examine-card.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { Product, Release } from '../manifest/schema.ts';
import type { CardStanding } from '../procedure/walk/walk.ts';
import { type KnownEntry, knownEntry } from '../record/entry.ts';
import type { SheetLanguage } from '../sheet/language.ts';
import type { CardDesk } from '../ui/walk-front.ts';
import { Failure } from '../words/failure.ts';
import { plainText } from '../words/plain-text.ts';
import type { Context } from './context.ts';

type CardEntry = Extract<KnownEntry, { kind: 'card-prepared' | 'card-checked' }>;

export function cardDesk(
  context: Context,
  product: Product,
  release: Release,
  words: SheetLanguage,
): CardDesk {
  const key = releaseKey(release);
  return {
    async prepared() {
      const ready = (await newestOfEachCard(context)).filter((entry) => isReadyFor(entry, key));
      return ready
        .sort((a, b) => b.claimedMs - a.claimedMs)
        .map(({ body, claimedMs }) => ({ name: body.card, preparedMs: claimedMs }));
    },
    async standing(name, path) {
      const known = (await newestOfEachCard(context)).find(({ body }) =>
        isCard(context, body.card, name, path),
      );
      const record = await recordOf(context, known, key, product);
      const look = path === null ? notRead : await lookAt(context, path, product, release);
      const why =
        look.now === 'ready' ? null : (look.why ?? (record === 'ready' ? null : words.walk.cardWhy[record]));
      // What the record keeps is a name: a path where it is nothing else.
      const called = known?.body.card ?? plainText(name, 200) ?? plainText(path ?? '', 4096) ?? '';
      return { name: called, now: look.now, record, why };
    },
  };
}

async function newestOfEachCard(context: Context): Promise<CardEntry[]> {
  const store = await context.record('read');
  if (store === undefined) return [];
  const newest = new Map<string, CardEntry>();
  for (const kind of ['card-prepared', 'card-checked']) {
    for await (const entry of store.entries({ kind })) {
      const known = knownEntry(entry);
      if (known?.kind !== 'card-prepared' && known?.kind !== 'card-checked') continue;
      const before = newest.get(known.body.card);
      if (before === undefined || before.claimedMs <= known.claimedMs) newest.set(known.body.card, known);
    }
  }
  return [...newest.values()];
}

function isReadyFor({ body }: CardEntry, key: string): boolean {
  return body.release === key && body.verdict === 'ready';
}

/** By its name as kept, by the path of an image file, or by that file's name alone. */
function isCard(context: Context, card: string, name: string, path: string | null): boolean {
  const absolute = [name, ...(path === null ? [] : [path])].map((one) => context.files.absolute(one));
  return card === name || absolute.includes(card) || card.split(/[\\/]/).at(-1) === name;
}

async function recordOf(
  context: Context,
  known: CardEntry | undefined,
  key: string,
  product: Product,
): Promise<CardStanding['record']> {
  if (known === undefined) return 'not-known';
  if (!isReadyFor(known, key)) return 'not-ready';
  if (product.card.afterUse === 'unchanged') return 'ready';
  const store = await context.record('read');
  if (store === undefined) return 'ready';
  for await (const entry of store.entries({ kind: 'outcome', claimedFromMs: known.claimedMs })) {
    const outcome = knownEntry(entry);
    // A deferred visit may have had the card in the unit as well; only what is known to be unused counts.
    if (outcome?.kind === 'outcome' && outcome.body.card === known.body.card) return 'used';
  }
  return 'ready';
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
