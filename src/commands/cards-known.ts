// `cards --known`: the cards that the record knows, what they carry, how they were found and used since, and whether they
// may go to the next unit. `--retire` takes one off the list. Goes by the record alone and looks at no card.

import { type CardRelease, type CardStanding, cardStanding } from '../fleet/card-standing.ts';
import type { Catalogue } from '../manifest/catalogue.ts';
import { draftEntry } from '../record/entry.ts';
import { cardNamed, type KnownCard, knownCards } from '../record/known-cards.ts';
import { counted } from '../words/counted.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalTime } from '../words/local-time.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import { formatSize } from '../words/size.ts';
import { wrap } from '../words/wrap.ts';
import { cardEntries } from './card-entries.ts';
import type { Answer } from './command.ts';
import type { Context } from './context.ts';
import { registerSigner } from './register-signer.ts';

export interface StandingCard {
  readonly card: KnownCard;
  readonly standing: CardStanding;
}

function releaseOf({ products, releases }: Catalogue, key: string): CardRelease | undefined {
  const release = releases.find((one) => `${one.product}@${one.version}` === key);
  const product = release && products.get(release.product);
  if (release === undefined || product === undefined) return undefined;
  return { withdrawn: release.withdrawn !== undefined, afterUse: product.card.afterUse };
}

export async function standingCards(context: Context): Promise<StandingCard[]> {
  const cards = knownCards(await cardEntries(context));
  if (cards.length === 0) return [];
  const catalogue = await context.catalogue();
  return cards.map((card) => ({
    card,
    standing: cardStanding(card, releaseOf(catalogue, card.prepared.release)),
  }));
}

export function requireKnownCard(cards: readonly StandingCard[], name: string): StandingCard {
  const found =
    cardNamed(
      cards.map(({ card }) => card),
      name,
    ) ??
    cardNamed(
      cards.map(({ card }) => card),
      name.toUpperCase(),
    );
  const standing = cards.find(({ card }) => card === found);
  if (standing !== undefined) return standing;
  const near = nearNames(
    name,
    cards.map(({ card }) => card.card),
  );
  throw new Failure({
    code: 'unknown-card',
    exit: 2,
    summary: `The record knows no card ${printable(name, 80)}.`,
    ...(near.length === 0 ? {} : { seen: `like it: ${near.map((one) => printable(one, 80)).join(', ')}` }),
    next: 'Look at: slotproof cards --known',
  });
}

const says: Readonly<Record<CardStanding, string>> = {
  ready: 'ready as far as the record knows; check it before it goes out',
  'prepare-again': 'was in a unit that changes the card: prepare it again before the next one',
  'collect-first': 'was in a unit that leaves a file on it: collect that, then prepare it again',
  'not-ready': 'was not found ready: prepare it again',
  withdrawn: 'carries a withdrawn release: take it out of use, or prepare it for another',
  'release-unknown': 'no manifest here knows its release: bring the manifests up to date',
  retired: 'retired',
};

function cardLines({ card, standing }: StandingCard, { clock, terminal }: Context): string[] {
  const { prepared, checked, uses, retired } = card;
  const at = (ms: number) => formatLocalTime(ms, clock).slice(0, 16).replace('T', ' ');
  const last = uses.at(-1);
  const lines = [
    printable(card.card, 300),
    `${printable(prepared.release, 140)}, ${formatSize(prepared.sizeBytes)}`,
    `prepared ${at(prepared.atMs)} by ${printable(prepared.by, 80)}, read back: ${prepared.readBack.method}`,
    checked && `checked ${at(checked.atMs)} by ${printable(checked.by, 80)}: ${checked.verdict}`,
    last &&
      `used at ${printable(last.serial, 64)} ${at(last.atMs)}: ${last.outcome}${uses.length > 1 ? `, and ${uses.length - 1} before` : ''}`,
    retired && `retired ${at(retired.atMs)}: ${printable(retired.why, 300)}`,
    standing === 'retired' ? null : says[standing],
  ];
  return lines
    .filter((line) => typeof line === 'string')
    .map((line, index) => wrap(line, terminal.columns, '      ', index === 0 ? '' : '  '));
}

function cardJson({ card, standing }: StandingCard, { clock }: Context): Record<string, unknown> {
  const { prepared, checked, uses, retired } = card;
  const at = (ms: number) => formatLocalTime(ms, clock);
  return {
    card: card.card,
    release: prepared.release,
    standing,
    why: says[standing],
    sizeBytes: prepared.sizeBytes,
    volumeId: prepared.volumeId ?? null,
    sha256: prepared.file.sha256,
    preparedAt: at(prepared.atMs),
    preparedBy: prepared.by,
    readBack: prepared.readBack.method,
    entry: prepared.entryId,
    checked: checked && {
      at: at(checked.atMs),
      by: checked.by,
      verdict: checked.verdict,
      stops: checked.stops,
    },
    uses: uses.map(({ serial, outcome, atMs }) => ({ serial, outcome, at: at(atMs) })),
    retired: retired && { at: at(retired.atMs), why: retired.why },
  };
}

function lastLine(cards: readonly StandingCard[]): string {
  const inUse = cards.filter(({ standing }) => standing !== 'retired');
  const ready = inUse.filter(({ standing }) => standing === 'ready').length;
  const withdrawn = inUse.filter(({ standing }) => standing === 'withdrawn').length;
  if (inUse.length === 0) return 'No card is on record.';
  const stop =
    withdrawn === 0
      ? ''
      : `; ${withdrawn === 1 ? 'one carries a withdrawn release' : `${withdrawn} carry a withdrawn release`}`;
  return `${counted(inUse.length, 'card')} on record, ${ready} ready${stop}`;
}

export async function listKnown(context: Context): Promise<Answer> {
  const cards = await standingCards(context);
  // What needs somebody to do something comes last, next to the line that counts.
  const shown = [...cards].sort((a, b) => Number(a.standing !== 'ready') - Number(b.standing !== 'ready'));
  const blocks = shown.map((card) => cardLines(card, context).join('\n'));
  return {
    exit: exitCode.done,
    json: { known: cards.map((card) => cardJson(card, context)) },
    text: [...blocks, lastLine(cards)].join('\n\n'),
  };
}

export async function retireCard(context: Context, name: string, why: string): Promise<Answer> {
  const { card, standing } = requireKnownCard(await standingCards(context), name);
  const called = printable(card.card, 300);
  if (standing === 'retired') {
    return {
      exit: exitCode.done,
      json: { card: card.card, retired: true, entry: null },
      text: `${called} is retired already.`,
    };
  }
  const draft = draftEntry('card-retired', await registerSigner(context), { card: card.card, why });
  const [entry] = await (await context.record('write')).append([draft]);
  return {
    exit: exitCode.done,
    json: { card: card.card, retired: true, entry },
    text: `${called} is retired; its entries stay. Preparing it again brings it back.`,
  };
}
