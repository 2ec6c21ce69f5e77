// What is written for one outcome that a person states: which release it is about, how it is known, how the unit
// was left. Refuses what contradicts itself; asks nothing and writes nothing. Where the version read may be a slip (it is
// not the release's, or no release has it), that is told, and the caller decides with the person.

import type { Product, Release } from '../manifest/schema.ts';
import { isVersion, sameVersion } from '../manifest/versions.ts';
import { contradictsUpdate } from '../procedure/contradicts-update.ts';
import type { OutcomeLogged, Photo } from '../record/entry.ts';
import type { Evidence, Left, OutcomeKind, UnitState } from '../record/unit-state.ts';
import { Failure } from '../words/failure.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import type { Routes } from './routes.ts';

export { deferralReasons, failureCauses, leftStates, outcomeKinds } from '../procedure/outcome-words.ts';

/** As said: texts that are fit to be kept, nothing of them judged yet. */
export interface OutcomeClaim {
  readonly outcome: OutcomeKind;
  readonly release?: string;
  readonly versionBefore?: string;
  readonly versionRead?: string;
  readonly lights?: string;
  readonly left?: Left;
  readonly reason?: string;
  readonly cause?: string;
  readonly card?: string;
  readonly photos?: readonly Photo[];
  readonly case?: string;
  readonly told?: string;
  readonly note?: string;
}

export interface OutcomePlan {
  readonly body: OutcomeLogged;
  /**
   * `other`: it was updated, and the version read is not the release's. `unknown`: it is said to be current already, and
   * no release of its product has the version read.
   */
  readonly versionInDoubt?: 'other' | 'unknown';
  /** What the person should hear of it. */
  readonly notices: readonly string[];
}

export function planOutcome(claim: OutcomeClaim, unit: UnitState, routes: Routes): OutcomePlan {
  requireFittingOptions(claim);
  const product = routes.product(unit.product);
  if (product !== undefined) {
    requireKnownWords(claim, product);
    requireLightsAgree(claim, product);
  }
  const { release, notices } = releaseMeant(claim, unit, routes);
  const { versionRead } = claim;
  const evidence: Evidence =
    versionRead !== undefined ? 'read' : claim.lights !== undefined ? 'lights' : 'reported';
  const left = claim.left ?? (claim.outcome === 'updated' ? 'running' : undefined);
  const { outcome, release: _said, ...rest } = claim;
  const body: OutcomeLogged = {
    serial: unit.serial,
    outcome,
    evidence,
    ...(release === undefined ? {} : { release }),
    ...rest,
    ...(left === undefined ? {} : { left }),
  };
  const version = release?.slice(release.lastIndexOf('@') + 1);
  const order =
    versionRead === undefined || version === undefined
      ? 0
      : routes.compare(unit.product, versionRead, version);
  const versionInDoubt = order === 0 ? undefined : doubtOf(claim, unit, routes);
  if (outcome === 'updated' && claim.left === undefined && unit.left !== null && unit.left !== 'running') {
    notices.push(
      `Taken as left running; it was left ${unit.left} before. If it does not run, log it again with --left.`,
    );
  }
  if (
    product !== undefined &&
    outcome === 'updated' &&
    versionRead !== undefined &&
    claim.lights !== undefined &&
    contradictsUpdate(product, claim.lights)
  ) {
    notices.push(
      `${printable(claim.lights)} speaks against an update; the version read counts. If the lights were wrongly noted, correct this entry.`,
    );
  }
  if (evidence === 'reported' && outcome === 'updated') {
    notices.push('Neither a version nor lights were given: it counts as reported, not as seen.');
  }
  if (outcome === 'already-current' && order !== 0) {
    const read = `The version read, ${printable(versionRead ?? '')}, is not that of ${release}`;
    const isUnknown = versionInDoubt === 'unknown';
    const known = isUnknown ? `, and no release of ${unit.product} has it` : '';
    // Whether a higher one that is known counts, its own release decides: the status says it.
    const counts =
      order < 0
        ? ': the unit is not counted as current.'
        : isUnknown
          ? ': it compares higher, so the unit counts as current. If it is a slip, correct this entry.'
          : '.';
    notices.push(`${read}${known}${counts}`);
  }
  return { body, notices, ...(versionInDoubt === undefined ? {} : { versionInDoubt }) };
}

/** Of a version read that is not the release's. */
function doubtOf({ outcome, versionRead = '' }: OutcomeClaim, unit: UnitState, routes: Routes) {
  if (outcome === 'updated') return 'other';
  const isUnknown =
    outcome === 'already-current' &&
    routes.product(unit.product) !== undefined &&
    routes.releasesOf(unit.product, versionRead).length === 0;
  return isUnknown ? 'unknown' : undefined;
}

/** The person confirmed that the display really shows it: taken as said. */
export function withDisplayConfirmed(body: OutcomeLogged): OutcomeLogged {
  return { ...body, displayConfirmed: true };
}

/** Nobody could be asked: the unit does not show what it should, so it failed, and what was said stays visible. */
export function asFailed(body: OutcomeLogged, leftWasSaid: boolean): OutcomeLogged {
  const { left, ...rest } = body;
  return {
    ...rest,
    ...(leftWasSaid && left !== undefined ? { left } : {}),
    outcome: 'failed',
    said: body.outcome,
  };
}

function requireFittingOptions({ outcome, reason, cause, versionRead }: OutcomeClaim): void {
  if (reason !== undefined && outcome !== 'deferred') throw misplaced('--reason', 'deferred', outcome);
  if (cause !== undefined && outcome !== 'failed') throw misplaced('--cause', 'failed', outcome);
  if (outcome === 'already-current' && versionRead === undefined) {
    throw new Failure({
      code: 'answer-missing',
      exit: 2,
      summary: 'Only a version read from the unit shows that it is current already.',
      expected: '--version-read VERSION',
      next: 'Read the version from the unit and give it with --version-read.',
    });
  }
}

function misplaced(option: string, wanted: OutcomeKind, outcome: OutcomeKind): Failure {
  return new Failure({
    code: 'option-misplaced',
    exit: 2,
    summary: `${option} goes with the outcome ${wanted}, not with ${outcome}.`,
    next: `Leave ${option} out, or log the outcome ${wanted}.`,
  });
}

/** Lights that mean refused, writing or dark are no evidence of an update; a version read outweighs them. */
function requireLightsAgree({ outcome, lights, versionRead }: OutcomeClaim, product: Product): void {
  if (outcome !== 'updated' || lights === undefined || versionRead !== undefined) return;
  if (!contradictsUpdate(product, lights)) return;
  const means = product.patterns.find(({ id }) => id === lights)?.means ?? '';
  throw new Failure({
    code: 'lights-contradict',
    exit: 2,
    summary: 'These lights speak against an update.',
    seen: `${printable(lights)}: ${printable(means)}`,
    expected: 'lights from which the procedure goes on to an update, or --version-read',
    where: '--lights',
    next: 'Log what came of it: failed or deferred; or read the version and give it with --version-read.',
  });
}

function requireKnownWords(claim: OutcomeClaim, product: Product): void {
  for (const [option, version] of [
    ['--version-before', claim.versionBefore],
    ['--version-read', claim.versionRead],
  ] as const) {
    if (version === undefined || isVersion(product.versions, version)) continue;
    throw new Failure({
      code: 'version-form',
      exit: 2,
      summary: `This is no version of ${product.id}.`,
      seen: printable(version),
      where: option,
      next: 'Give it as the display shows it; what is no version goes into --note.',
    });
  }
  const ids = product.patterns.map(({ id }) => id);
  if (claim.lights !== undefined && !ids.includes(claim.lights)) {
    const near = nearNames(claim.lights, ids)[0];
    throw new Failure({
      code: 'pattern-unknown',
      exit: 2,
      summary: `${product.id} has no light pattern of this name.`,
      seen: printable(claim.lights),
      expected: ids.join(', '),
      where: '--lights',
      next:
        near === undefined ? 'Give one of these, or describe the lights in --note.' : `Did you mean ${near}?`,
    });
  }
}

function releaseMeant(claim: OutcomeClaim, unit: UnitState, routes: Routes) {
  const notices: string[] = [];
  const said = claim.release;
  const release =
    said === undefined
      ? usualRelease(claim, unit, routes, notices)
      : releaseSaid(said, unit, routes, notices);
  if (release === undefined && claim.outcome === 'updated') {
    throw new Failure({
      code: 'release-missing',
      exit: 2,
      summary:
        'There is no release on the path of this unit, so it is not clear which one was carried there.',
      where: printable(unit.serial),
      expected: '--release PRODUCT@VERSION',
      next: 'Say which release it was with --release.',
    });
  }
  return { release, notices };
}

const nameOf = ({ product, version }: Release) => `${product}@${version}`;

/** The release on the unit's path whose version was read; else the next one; else the one that has that version. */
function usualRelease(
  { outcome, versionRead }: OutcomeClaim,
  unit: UnitState,
  routes: Routes,
  notices: string[],
): string | undefined {
  const scheme = routes.product(unit.product)?.versions;
  if (scheme === undefined) return undefined;
  const target = routes.target(unit);
  if (outcome === 'already-current') return target === undefined ? undefined : nameOf(target);
  const path = unit.version === null ? [] : (routes.path(unit, unit.version.version) ?? []);
  const read =
    versionRead === undefined
      ? undefined
      : (path.length > 0 ? path : routes.releasesOf(unit.product, versionRead)).find((release) =>
          sameVersion(scheme, release.version, versionRead),
        );
  const next = path[0];
  if (read === undefined && next === undefined && unit.version === null && target !== undefined) {
    notices.push(`Which version it had is not known: taken as ${nameOf(target)}.`);
    return nameOf(target);
  }
  const release = read ?? next;
  if (release !== undefined && next !== undefined && release !== next) {
    notices.push(
      `Taken as ${nameOf(release)}, whose version was read, not ${nameOf(next)}, the next on its path.`,
    );
  }
  return release === undefined ? undefined : nameOf(release);
}

function releaseSaid(text: string, unit: UnitState, routes: Routes, notices: string[]): string {
  const at = text.lastIndexOf('@');
  const product = at >= 0 ? text.slice(0, at) : text === unit.product ? text : unit.product;
  if (product !== unit.product) {
    throw new Failure({
      code: 'other-product',
      exit: 2,
      summary: 'This release is for another product than the unit.',
      seen: printable(text),
      expected: `${unit.product}@VERSION`,
      where: '--release',
      next: 'Check the serial and the release.',
    });
  }
  const target = routes.target(unit);
  if (text === unit.product && target !== undefined) return nameOf(target);
  const version = at >= 0 ? text.slice(at + 1) : text;
  if (routes.product(product) === undefined) return `${product}@${version}`;
  const release = routes.releasesOf(product, version)[0];
  if (release === undefined) {
    throw new Failure({
      code: 'release-unknown',
      exit: 2,
      summary: `No manifest of ${product} ${printable(version, 40)} is known.`,
      where: '--release',
      next: 'Check the version; slotproof manifests check lists what is wrong with manifests.',
    });
  }
  if (unit.hardware !== null && !release.hardware.includes(unit.hardware)) {
    notices.push(`${nameOf(release)} is not for hardware revision ${unit.hardware}.`);
  }
  return nameOf(release);
}
