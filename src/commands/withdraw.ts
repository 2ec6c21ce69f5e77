// `withdraw RELEASE --why TEXT`: stops a release here, before its maker says so in a manifest: nothing is prepared, printed
// or walked with it any more. Names the cards that carry it and the units that have it. Goes out to others with the
// record; a correction takes it back.

import { type Routes, routesOn } from '../fleet/routes.ts';
import { howUpdated, unreadUpdate } from '../fleet/unread-update.ts';
import { releaseKey, requireRelease } from '../manifest/catalogue.ts';
import { namesVersionOf, withdrawnAdvised } from '../manifest/outdated-advice.ts';
import type { Release } from '../manifest/schema.ts';
import { draftEntry } from '../record/entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import type { Outcome } from '../record/unit-state.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
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
  const units = await unitsWith(
    context,
    release,
    routesOn(catalogue, formatLocalDay(context.clock.now(), context.clock)),
  );
  const findings = outdatedAdvice(release, doThis, catalogue.releases);
  const found = { cards, units, findings };
  if (release.withdrawn !== undefined) return answer(context, release, found, null);
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
  return answer(context, release, found, entry ?? null);
};

/** Where what is to be done about this release, or about one withdrawn before, sends units to a withdrawn one. */
function outdatedAdvice(
  release: Release,
  doThis: string | undefined,
  releases: readonly Release[],
): Finding[] {
  const told = (from: Release, to: Release, text: string): Finding => ({
    code: 'advice-withdrawn',
    severity: 'warn',
    summary: `What is to be done about ${releaseKey(from)} names ${releaseKey(to)}, which is withdrawn as well.`,
    seen: printable(text, 500),
    where: releaseKey(from),
    next: 'Ask the maker where these units go now, and tell everybody who carries cards.',
  });
  const before = releases.flatMap((other) => {
    const text = other.withdrawn?.doThis;
    const isOther = other.product === release.product && releaseKey(other) !== releaseKey(release);
    return text !== undefined && isOther && namesVersionOf(text, release) ? [told(other, release, text)] : [];
  });
  const own = doThis ?? release.withdrawn?.doThis;
  const to = withdrawnAdvised(release, own, releases).map((other) => told(release, other, own ?? ''));
  return [...before, ...to];
}

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

interface Found {
  readonly cards: readonly StandingCard[];
  readonly units: readonly UnitWith[];
  readonly findings: readonly Finding[];
}

interface UnitWith {
  readonly unit: UnitRecord;
  /** It was updated to the release, and its version was not read since; null: the release's version is known of it. */
  readonly unread: Outcome | null;
}

async function unitsWith(
  context: Context,
  { product, version }: Release,
  routes: Routes,
): Promise<UnitWith[]> {
  const record = await context.record('read');
  const isIts = (other: string) => routes.compare(product, other, version) === 0;
  const units: UnitWith[] = [];
  for await (const unit of record?.units({ product }) ?? []) {
    const unread = unreadUpdate(unit, routes);
    if (unit.version !== null && isIts(unit.version.version)) units.push({ unit, unread: null });
    else if (unread !== null && isIts(unread.version)) units.push({ unit, unread: unread.outcome });
  }
  return units;
}

function answer(
  context: Context,
  release: Release,
  { cards, units, findings }: Found,
  entry: { readonly id: string } | null,
): Answer {
  const key = releaseKey(release);
  const { columns } = context.terminal;
  const already =
    entry === null
      ? [`${key} was withdrawn already, on ${release.withdrawn?.on}: ${release.withdrawn?.why}`]
      : [];
  const has = units.filter(({ unread }) => unread === null);
  const mayHave = units.filter(({ unread }) => unread !== null);
  const lines = [
    ...already.map((line) => printable(line, 700)),
    ...(cards.length === 0 ? [] : ['', 'Take these cards out of use, or prepare them for another release:']),
    ...cards.map(({ card }) => `  ${printable(card.card, 300)}`),
    ...unitLines('These units have it:', has, () => ''),
    ...unitLines(
      'These were updated to it, and their version was not read since. Read it there first:',
      mayHave,
      (outcome) => `, ${formatLocalDay(outcome.atMs, context.clock)}, ${howUpdated(outcome)}`,
    ),
    ...(findings.length === 0 ? [] : ['', renderFindings(findings, context.terminal)]),
    '',
    ...(entry === null
      ? []
      : [`Was it a mistake: slotproof log --corrects ${entry.id} --void --why "..."`, '']),
    `${key} is withdrawn; ${counted(cards.length, 'card')} on record ${cards.length === 1 ? 'carries' : 'carry'} it, ${counted(has.length, 'unit')} ${has.length === 1 ? 'has' : 'have'} it${mayHave.length === 0 ? '' : `, and ${counted(mayHave.length, 'unit')} may have it`}`,
  ];
  return {
    exit: exitCode.done,
    json: {
      release: key,
      withdrawn: entry === null ? release.withdrawn : true,
      entry,
      findings,
      cards: cards.map(({ card }) => ({
        card: card.card,
        preparedAt: formatLocalTime(card.prepared.atMs, context.clock),
        preparedBy: card.prepared.by,
        usedAt: card.uses.at(-1)?.serial ?? null,
      })),
      units: units.map(({ unit: { serial, site, version }, unread }) => ({
        serial,
        site,
        version: version?.version ?? null,
        evidence: version?.evidence ?? null,
        updatedNotRead:
          unread === null
            ? null
            : { at: formatLocalTime(unread.atMs, context.clock), by: unread.by, evidence: unread.evidence },
      })),
    },
    text: lines
      .flatMap((line) => line.split('\n'))
      .map((line) => wrap(line, columns, '  ', /^\s*/.exec(line)?.[0] ?? ''))
      .join('\n')
      .replace(/^\n+/, ''),
  };
}

function unitLines(
  title: string,
  units: readonly UnitWith[],
  remark: (outcome: Outcome) => string,
): string[] {
  if (units.length === 0) return [];
  const more = units.length - maxListed;
  return [
    '',
    title,
    ...units.slice(0, maxListed).map(({ unit: { serial, site }, unread }) => {
      const where = `  ${printable(serial, 64)}  ${printable(site ?? '', 100)}`.trimEnd();
      return `${where}${unread === null ? '' : remark(unread)}`;
    }),
    ...(more > 0 ? [`  and ${more} more`] : []),
  ];
}
