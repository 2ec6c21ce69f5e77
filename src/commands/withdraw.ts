// `withdraw RELEASE --why TEXT`: stops a release here, before its maker says so in a manifest: nothing is prepared, printed
// or walked with it any more. Names the cards that carry it and the units that have it. Goes out to others with the
// record; a correction takes it back.

import { releaseKey, requireRelease } from '../manifest/catalogue.ts';
import type { Release } from '../manifest/schema.ts';
import { sameVersion } from '../manifest/versions.ts';
import { draftEntry } from '../record/entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { counted } from '../words/counted.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import { type StandingCard, standingCards } from './cards-known.ts';
import type { Answer, Run } from './command.ts';
import type { Context } from './context.ts';
import { requireText, textOption } from './option-text.ts';

/** Units that are named on the screen; `--json` names all. */
const maxListed = 20;

export const run: Run = async (context, [given = ''], options) => {
  const why = textOption(options, 'why', '--why', 500);
  const doThis = textOption(options, 'doThis', '--do-this', 500);
  const catalogue = await context.catalogue();
  // A product alone would mean its newest release: too much to be stopped by a slip.
  if (!given.includes('@')) throw notOneRelease(given);
  const release = requireRelease(catalogue, given);
  const key = releaseKey(release);
  const cards = (await standingCards(context)).filter(
    ({ card, standing }) => card.prepared.release === key && standing !== 'retired',
  );
  const units = await unitsWith(context, release, catalogue.products.get(release.product)?.versions);
  if (release.withdrawn !== undefined) return answer(context, release, cards, units, null);
  const reason = why ?? (await context.terminal.text(`Why is ${key} withdrawn?`, '--why TEXT'));
  const { clock } = context;
  const typedBy = requireText(await context.requireTypedBy(), '--as', 80);
  const body = {
    release: key,
    why: requireText(reason, '--why', 500),
    ...(doThis === undefined ? {} : { doThis }),
  };
  const draft = draftEntry(
    'release-withdrawn',
    { claimedAt: formatLocalTime(clock.now(), clock), typedBy },
    body,
  );
  const [entry] = await (await context.record('write')).append([draft]);
  return answer(context, release, cards, units, entry ?? null);
};

function notOneRelease(given: string): Failure {
  return new Failure({
    code: 'release-not-exact',
    exit: 2,
    summary: 'One release is withdrawn, by its product and version.',
    seen: printable(given, 140),
    expected: 'PRODUCT@VERSION',
    next: 'Give the version as well.',
  });
}

async function unitsWith(
  context: Context,
  { product, version }: Release,
  scheme: Parameters<typeof sameVersion>[0] | undefined,
): Promise<UnitRecord[]> {
  const record = await context.record('read');
  const units: UnitRecord[] = [];
  for await (const unit of record?.units({ product }) ?? []) {
    if (unit.version === null) continue;
    const known = unit.version.version;
    if (known === version || (scheme !== undefined && sameVersion(scheme, known, version))) units.push(unit);
  }
  return units;
}

function answer(
  context: Context,
  release: Release,
  cards: readonly StandingCard[],
  units: readonly UnitRecord[],
  entry: { readonly id: string } | null,
): Answer {
  const key = releaseKey(release);
  const { columns } = context.terminal;
  const already =
    entry === null
      ? [`${key} was withdrawn already, on ${release.withdrawn?.on}: ${release.withdrawn?.why}`]
      : [];
  const more = units.length - maxListed;
  const lines = [
    ...already.map((line) => printable(line, 700)),
    ...(cards.length === 0 ? [] : ['', 'Take these cards out of use, or prepare them for another release:']),
    ...cards.map(({ card }) => `  ${printable(card.card, 300)}`),
    ...(units.length === 0 ? [] : ['', 'These units have it:']),
    ...units
      .slice(0, maxListed)
      .map(({ serial, site }) => `  ${printable(serial, 64)}  ${printable(site ?? '', 100)}`.trimEnd()),
    ...(more > 0 ? [`  and ${more} more`] : []),
    '',
    ...(entry === null
      ? []
      : [`Was it a mistake: slotproof log --corrects ${entry.id} --void --why "..."`, '']),
    `${key} is withdrawn; ${counted(cards.length, 'card')} on record ${cards.length === 1 ? 'carries' : 'carry'} it, ${counted(units.length, 'unit')} ${units.length === 1 ? 'has' : 'have'} it`,
  ];
  return {
    exit: exitCode.done,
    json: {
      release: key,
      withdrawn: entry === null ? release.withdrawn : true,
      entry,
      cards: cards.map(({ card }) => ({
        card: card.card,
        preparedAt: formatLocalTime(card.prepared.atMs, context.clock),
        preparedBy: card.prepared.by,
        usedAt: card.uses.at(-1)?.serial ?? null,
      })),
      units: units.map(({ serial, site, version }) => ({
        serial,
        site,
        version: version?.version ?? null,
        evidence: version?.evidence ?? null,
      })),
    },
    text: lines
      .map((line) => wrap(line, columns, '  ', /^\s*/.exec(line)?.[0] ?? ''))
      .join('\n')
      .replace(/^\n+/, ''),
  };
}
