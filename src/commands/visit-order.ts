// What a visit is about, settled before the first question: the unit, the release it gets, the procedure, and
// whether a walk of it broke off. Refuses what must not be begun; one that broke off is always taken up again,
// since a unit is standing there half done.

import { sha256Hex } from '../bytes/sha256.ts';
import { type Routes, routesOn } from '../fleet/routes.ts';
import { orderFinding } from '../fleet/site-order.ts';
import { type Catalogue, releaseKey, requireProduct, requireRelease } from '../manifest/catalogue.ts';
import type { Product, Release } from '../manifest/schema.ts';
import { aloneOnSite, productAtTurn, type SiteTurn } from '../procedure/site-turn.ts';
import { stepGraphOf } from '../procedure/step-graph.ts';
import { successorsOf } from '../procedure/successors.ts';
import type { VersionJudgement, WalkPlan } from '../procedure/walk/walk.ts';
import { canonicalText } from '../record/canonical-text.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { cautionLines, cautionsFor } from '../sheet/cautions.ts';
import { checkNextRelease } from '../sheet/check-next-release.ts';
import { checkUnreadUpdate } from '../sheet/check-unread-update.ts';
import type { SheetLanguage } from '../sheet/language.ts';
import { Failure } from '../words/failure.ts';
import { type Finding, hasStop } from '../words/finding.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { textOption } from './option-text.ts';
import { requireUnitInService } from './registered-unit.ts';
import { requireNotHalted } from './require-not-halted.ts';
import { unitsBefore } from './units-of-site.ts';
import { findOpenVisit, type OpenVisit } from './visit-log.ts';
import { requireTurn, siteEndedFinding, siteToday } from './visit-turn.ts';
import { nextRelease } from './wanted-release.ts';

export interface VisitOrder {
  readonly unit: UnitRecord;
  readonly product: Product;
  readonly release: Release;
  readonly routes: Routes;
  readonly plan: WalkPlan;
  /** Where steps are done once for a site: this unit's place among those done there today. */
  readonly turn: SiteTurn;
  /** SHA-256 of the procedure as walked. */
  readonly procedure: string;
  readonly open: OpenVisit | undefined;
  /** A stop among them: it must not be begun. */
  readonly findings: readonly Finding[];
  readonly remark: string | undefined;
}

export async function requireVisitOrder(
  context: Context,
  serial: string | undefined,
  options: OptionValues,
  words: SheetLanguage,
): Promise<VisitOrder> {
  const unit = await requireUnitInService(context, serial);
  const catalogue = await context.catalogue();
  const open = await findOpenVisit(await context.record('read'), unit.serial);
  const said = textOption(options, 'release', '--release', 140);
  const despite = textOption(options, 'despiteHalt', '--despite-halt', 500);
  // A product with a gap in its procedure is in no catalogue, so nobody walks it.
  if (open === undefined) requireProduct(catalogue, unit.product);
  const wanted = said === undefined ? undefined : releaseSaid(catalogue, said, unit);
  const release =
    open !== undefined
      ? requireReleaseOf(open, catalogue, wanted, unit)
      : (wanted ?? (await nextRelease(context, catalogue, unit, '--release')));
  const product = catalogue.products.get(release.product) as Product;
  const routes = routesOn(catalogue, formatLocalDay(context.clock.now(), context.clock));
  if (open === undefined) await requireNotHalted(context, release, despite);
  const today = await siteToday(context, product, unit);
  const findings =
    open === undefined
      ? [
          ...findingsFor(unit, release, routes),
          ...checkUnreadUpdate(unit, routes, (atMs) => formatLocalDay(atMs, context.clock)),
          ...(await orderFindings(context, product, unit, routes)),
          ...siteEndedFinding(today, context),
        ]
      : [];
  // Of what must not be begun nothing more is asked.
  const turn =
    open?.turn ?? (hasStop(findings) ? aloneOnSite : await requireTurn(context, product, today, options));
  const walked = productAtTurn(product, turn);
  return {
    unit,
    product,
    release,
    routes,
    turn,
    plan: walkPlan(walked, release, unit, routes, words),
    procedure: procedureDigest(walked, release),
    open,
    findings,
    remark: despite === undefined ? undefined : `Despite the halt: ${despite}`,
  };
}

async function orderFindings(
  context: Context,
  product: Product,
  unit: UnitRecord,
  routes: Routes,
): Promise<Finding[]> {
  const before = await unitsBefore(context, product, unit, routes);
  return before.length === 0 ? [] : [orderFinding(unit, before, 'stop')];
}

/** PRODUCT@VERSION, PRODUCT for its newest, or a version alone. */
function releaseSaid(catalogue: Catalogue, text: string, unit: UnitRecord): Release {
  const isWhole = text.includes('@') || catalogue.products.has(text);
  const release = requireRelease(catalogue, isWhole ? text : `${unit.product}@${text}`);
  if (release.product === unit.product) return release;
  throw new Failure({
    code: 'other-product',
    exit: 2,
    summary: 'This release is for another product than the unit.',
    seen: releaseKey(release),
    expected: `${unit.product}@VERSION`,
    where: '--release',
    next: 'Check the serial and the release.',
  });
}

/** A visit goes on with what it was begun with. Where that cannot be, how everything stands is said all the same. */
function requireReleaseOf(
  open: OpenVisit,
  catalogue: Catalogue,
  wanted: Release | undefined,
  { serial }: UnitRecord,
): Release {
  if (wanted !== undefined && releaseKey(wanted) !== open.release) {
    throw new Failure({
      code: 'visit-open',
      exit: 2,
      summary: `A visit with ${open.release} has begun at this unit and is not over.`,
      where: printable(serial),
      next: 'Go on with it, without --release, and bring it to an end first.',
    });
  }
  const release = catalogue.releases.find((one) => releaseKey(one) === open.release);
  if (release !== undefined && catalogue.products.has(release.product)) return release;
  const positions = Object.entries(open.done.at(-1)?.positions ?? {});
  throw new Failure({
    code: 'visit-manifest-missing',
    exit: 2,
    summary: `A visit with ${open.release} has begun at this unit, and its manifest is not here any more or has faults.`,
    seen: `last known: ${positions.map(([name, state]) => `${name} ${state}`).join(', ')}`,
    where: printable(serial),
    next: 'Leave everything as it stands and ring the service lead. Bring the manifest back and run the same again.',
  });
}

function findingsFor(unit: UnitRecord, release: Release, routes: Routes): Finding[] {
  if (release.withdrawn === undefined) return checkNextRelease(unit, release, routes);
  const key = releaseKey(release);
  return [
    {
      code: 'withdrawn',
      severity: 'stop',
      summary: `${key} is withdrawn. Nobody must carry it to a unit.`,
      seen: `withdrawn on ${release.withdrawn.on}: ${printable(release.withdrawn.why, 400)}`,
      where: key,
      next: printable(release.withdrawn.doThis ?? 'Take the release that the maker gives in its place.', 400),
    },
  ];
}

function walkPlan(
  product: Product,
  release: Release,
  unit: UnitRecord,
  routes: Routes,
  words: SheetLanguage,
): WalkPlan {
  return {
    product,
    release,
    serial: unit.serial,
    hardware: unit.hardware,
    cautions: cautionLines(cautionsFor(product), words).length,
    successors: successorsOf(stepGraphOf(product)),
    judgeVersion: (version, revision): VersionJudgement => {
      const read = { version, evidence: 'read', atMs: 0, dated: true } as const;
      const seen = { ...unit, hardware: revision, version: read, exempt: null };
      const findings = checkNextRelease(seen, release, routes);
      if (findings.some(({ code }) => code === 'already-current')) return { kind: 'same' };
      const stop = findings.find(({ severity }) => severity === 'stop');
      return stop === undefined ? { kind: 'next' } : { kind: 'not-next', why: stop.summary };
    },
  };
}

/** All of a manifest that a walk goes by. */
export function procedureDigest(product: Product, release: Release): string {
  const { lights, patterns, positions, never, whileBusy, serves, procedure } = product;
  const { resets } = release;
  return sha256Hex(
    canonicalText({
      product: product.id,
      release: releaseKey(release),
      lights,
      patterns,
      positions,
      never,
      whileBusy,
      serves,
      procedure,
      resets,
    } as never),
  );
}

export function mustNotBegin({ findings }: VisitOrder): boolean {
  return hasStop(findings);
}
