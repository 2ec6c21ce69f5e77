// `sheet`: the on-site procedure of one release, numbered, for units that may have it now. Everything is checked
// before a number is drawn; a sheet is refused whole rather than printed with a hole in it. It is kept in the
// workspace, where its rows are found again by its number. Writes no entry.

import type { Routes } from '../fleet/routes.ts';
import type { UnreadUpdate } from '../fleet/unread-update.ts';
import type { Catalogue } from '../manifest/catalogue.ts';
import type { Product, Release } from '../manifest/schema.ts';
import type { GapCheck } from '../procedure/check-gaps.ts';
import type { ProcedureTimes } from '../procedure/procedure-times.ts';
import type { UnitState } from '../record/unit-state.ts';
import type { OutcomeSheet } from '../sheet/outcome/outcome.ts';
import type { SheetFacts } from '../sheet/sheet-facts.ts';
import type { SheetInput, SheetUnit, SheetView } from '../sheet/sheet-view.ts';
import { counted } from '../words/counted.ts';
import { Failure } from '../words/failure.ts';
import { type Finding, hasStop } from '../words/finding.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Answer, Run } from './command.ts';
import type { Context } from './context.ts';
import { requireNewFile } from './new-file.ts';
import { textOption } from './option-text.ts';
import { requireNotHalted } from './require-not-halted.ts';
import type { FormOrder } from './sheet-forms.ts';
import {
  requireDayEnds,
  requireForm,
  requirePaper,
  requireSheetRelease,
  requireSheetUnits,
  slipBeside,
} from './sheet-order.ts';
import { wantedLanguage } from './wanted-language.ts';

export const run: Run = async (context, positionals, options) => {
  const form = requireForm(options.format, options.out);
  const paper = requirePaper(options.paper);
  const dayEnds = await requireDayEnds(options.dayEnds);
  const out = requireNewFile(context, options.out);
  const slip = options.slip === true;
  if (slip && out !== undefined) requireNewFile(context, slipBeside(out));
  const catalogue = await context.catalogue();
  const release = await requireSheetRelease(context, catalogue, positionals[0]);
  const product = catalogue.products.get(release.product) as Product;
  if (release.withdrawn !== undefined) return refusal(context, release, [withdrawn(release)]);
  await requireNotHalted(context, release, textOption(options, 'despiteHalt', '--despite-halt', 500));

  const named = await requireSheetUnits(context, product, options.unit);
  const [
    { checkGaps },
    { routesOn },
    { checkNextRelease },
    { checkUnreadUpdate },
    { inSiteOrder },
    { orderOfSheet },
  ] = await Promise.all([
    import('../procedure/check-gaps.ts'),
    import('../fleet/routes.ts'),
    import('../sheet/check-next-release.ts'),
    import('../sheet/check-unread-update.ts'),
    import('../fleet/site-order.ts'),
    import('./units-of-site.ts'),
  ]);
  const units = inSiteOrder(product, named);
  const gaps = checkGaps(product);
  const nowMs = context.clock.now();
  const routes = routesOn(catalogue, formatLocalDay(nowMs, context.clock));
  const findings: Finding[] = [
    ...gaps.findings.filter(({ severity }) => severity === 'stop'),
    ...units.flatMap((unit) => [
      ...checkNextRelease(unit, release, routes),
      ...checkUnreadUpdate(unit, routes, (atMs) => formatLocalDay(atMs, context.clock)),
    ]),
    ...(await orderOfSheet(context, product, units, routes)),
  ];
  if (hasStop(findings)) return refusal(context, release, findings);
  const language = wantedLanguage(context, options);
  const printed = { form, language, paper, slip, madeMs: nowMs };
  return makeSheet(context, {
    catalogue,
    routes,
    product,
    release,
    units,
    gaps,
    dayEnds,
    out,
    printed,
    findings,
    nowMs,
  });
};

interface Order {
  readonly catalogue: Catalogue;
  readonly routes: Routes;
  readonly product: Product;
  readonly release: Release;
  readonly units: readonly UnitState[];
  readonly gaps: GapCheck;
  readonly dayEnds: number | null;
  readonly out: string | undefined;
  readonly printed: FormOrder;
  readonly findings: readonly Finding[];
  readonly nowMs: number;
}

async function makeSheet(context: Context, order: Order): Promise<Answer> {
  const { files, workspace } = context;
  const [{ sheetView }, { renderForm }, facts, { checkSheet }, { languages }, ui] = await Promise.all([
    import('../sheet/sheet-view.ts'),
    import('./sheet-forms.ts'),
    import('../sheet/sheet-facts.ts'),
    import('../sheet/check-sheet.ts'),
    import('../sheet/language.ts'),
    import('../ui/finding-text.ts'),
  ]);
  const madeAt = formatLocalTime(order.nowMs, context.clock);
  const number = await newNumber(context, facts.sheetPlaces);
  const view = sheetView({ ...(await sheetInput(context, order, madeAt)), number });
  const { kept, outcomes } = await factsKept(context, order, facts.sheetFacts(view, madeAt), view);
  const { product, release } = order;
  const carried = { product, release, outcomes };
  const rendered = await renderForm(context, view, order.printed, carried);
  const places = facts.sheetPlaces(workspace.sheets, number);
  workspace.make();
  // What the rows are logged by comes first: paper whose number leads nowhere must not exist.
  files.write(places.facts, facts.encodeSheetFacts(kept));
  const put = (content: string | Uint8Array, place: string, out: string | undefined): string => {
    files.write(place, content);
    if (out !== undefined) files.writeNew(out, [bytesOf(content)]);
    return out ?? files.absolute(place);
  };
  const keptAt = files.absolute(places.sheet(rendered.ending));
  const path = put(rendered.sheet, places.sheet(rendered.ending), order.out);
  const slipOut = order.out === undefined ? undefined : slipBeside(order.out);
  const slip = rendered.slip === undefined ? null : put(rendered.slip, places.slip(rendered.ending), slipOut);
  const findings = [...order.findings, ...checkSheet(view, languages.en)];
  return {
    exit: 0,
    json: {
      path,
      sheet: number,
      keptAt,
      format: order.printed.form,
      slip,
      release: view.release.id,
      units: order.units.map(({ serial }) => serial),
      findings,
    },
    text: [
      ...(order.out === undefined && rendered.onScreen !== undefined ? [rendered.onScreen] : []),
      ...(findings.length > 0 ? [ui.renderFindings(findings, context.terminal), ''] : []),
      ...(outcomes === undefined ? [] : [pocketAdvice, '']),
      `Sheet ${number} for ${view.release.id}${unitCount(order.units.length)}: ${path}`,
      ...(slip === null ? [] : [`Slip for the customer: ${slip}`]),
    ].join('\n'),
  };
}

/** A pocket page has a key, by which its outcomes are known; it is kept beside what else is kept of the sheet. */
async function factsKept(
  { random }: Context,
  { printed }: Order,
  plain: SheetFacts,
  { patterns }: SheetView,
): Promise<{ readonly kept: SheetFacts; readonly outcomes: OutcomeSheet | undefined }> {
  if (printed.form !== 'pocket') return { kept: plain, outcomes: undefined };
  const { drawPocketFacts, outcomeSheetOf } = await import('../sheet/outcome/outcome-sheet.ts');
  const kept = { ...plain, pocket: drawPocketFacts(random, patterns) };
  return { kept, outcomes: outcomeSheetOf(kept) };
}

const pocketAdvice =
  'Put this file on the phone and open it there once, with the network off, before you leave. It holds the key of its outcomes: give it to those who do the work, and to nobody else.';

function bytesOf(content: string | Uint8Array): Uint8Array {
  return typeof content === 'string' ? new TextEncoder().encode(content) : content;
}

function unitCount(count: number): string {
  if (count === 0) return ', the serial to be written in by hand';
  return `, ${counted(count, 'unit')}`;
}

async function sheetInput(
  context: Context,
  { catalogue, routes, product, release, units, gaps, dayEnds, printed, nowMs }: Order,
  madeAt: string,
): Promise<Omit<SheetInput, 'number'>> {
  const { clock } = context;
  const [{ manifestNewsMs }, { unreadUpdate }, timesLater] = await Promise.all([
    import('../manifest/manifest-news.ts'),
    import('../fleet/unread-update.ts'),
    timesOfLaterUnits(product),
  ]);
  const newsMs = manifestNewsMs(catalogue, context.files, nowMs);
  const newsDay = newsMs === undefined ? null : formatLocalDay(newsMs, clock);
  const day = madeAt.slice(0, 10);
  return {
    language: printed.language,
    product,
    release,
    units: units.map((unit) => sheetUnit(unit, unreadUpdate(unit, routes), context)),
    made: { day, time: madeAt.slice(11, 16), by: context.typedBy ?? null },
    times: gaps.times,
    ...(timesLater === undefined ? {} : { timesLater }),
    gapsChecked: gaps.complete && gaps.sound,
    dayEnds,
    news: { day: newsDay, daysOld: newsDay === null ? 0 : daysBetween(context, newsDay, day) },
    mark: await ownMark(context),
  };
}

/** undefined: no step is done once for a site, so each unit takes as long as the first. */
async function timesOfLaterUnits(product: Product): Promise<ProcedureTimes | undefined> {
  const { hasSharedSteps, productAtTurn } = await import('../procedure/site-turn.ts');
  if (!hasSharedSteps(product)) return undefined;
  const { procedureTimes } = await import('../procedure/procedure-times.ts');
  return procedureTimes(productAtTurn(product, { first: false, last: true }));
}

function sheetUnit(unit: UnitState, unread: UnreadUpdate | null, { clock }: Context): SheetUnit {
  const { version, lastDecisive } = unit;
  return {
    serial: unit.serial,
    hardware: unit.hardware,
    site: unit.site,
    version: version === null ? null : { ...version, day: formatLocalDay(version.atMs, clock) },
    left: unit.left,
    failedOn: lastDecisive?.kind === 'failed' ? formatLocalDay(lastDecisive.atMs, clock) : null,
    unread:
      unread === null ? null : { version: unread.version, day: formatLocalDay(unread.outcome.atMs, clock) },
    details: unit.details,
  };
}

function daysBetween({ clock }: Context, from: string, to: string): number {
  return Math.round((clock.startOfLocalDay(to) - clock.startOfLocalDay(from)) / 86_400_000);
}

/** The newest entry of this laptop's chain; null where it has none yet. */
async function ownMark(context: Context): Promise<SheetInput['mark']> {
  const record = await context.record('read');
  if (record === undefined) return null;
  const mark = (await record.marks()).find(({ laptop }) => laptop === record.laptop);
  return mark === undefined ? null : { laptop: mark.laptop, seq: mark.seq, hash: mark.hash };
}

async function newNumber(
  context: Context,
  sheetPlaces: (folder: string, number: string) => { facts: string },
): Promise<string> {
  const { drawSheetNumber } = await import('../sheet/sheet-number.ts');
  // Among thousands of sheets two meet once in some hundred thousand draws.
  for (let attempt = 0; attempt < 10; attempt++) {
    const number = drawSheetNumber(context.random);
    if (context.files.facts(sheetPlaces(context.workspace.sheets, number).facts) === undefined) return number;
  }
  throw new Failure({
    code: 'no-sheet-number',
    exit: 2,
    summary: 'No number was found that no other sheet has.',
    where: context.workspace.sheets,
    next: 'Run the same again.',
  });
}

async function refusal(context: Context, release: Release, findings: readonly Finding[]): Promise<Answer> {
  const { renderFindings } = await import('../ui/finding-text.ts');
  const id = `${release.product}@${release.version}`;
  return {
    exit: 3,
    json: { path: null, sheet: null, release: id, findings },
    text: [
      renderFindings(findings, context.terminal),
      '',
      `No sheet was made for ${id}. Nothing was written.`,
    ].join('\n'),
  };
}

function withdrawn({ product, version, withdrawn }: Release): Finding {
  return {
    code: 'withdrawn',
    severity: 'stop',
    summary: `${product}@${version} is withdrawn. There is no sheet for it.`,
    seen: `withdrawn on ${withdrawn?.on ?? '?'}: ${printable(withdrawn?.why ?? '', 400)}`,
    where: `${product}@${version}`,
    next: printable(withdrawn?.doThis ?? 'Take the release that the maker gives in its place.', 400),
  };
}
