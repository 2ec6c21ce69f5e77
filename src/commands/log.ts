// `log`: one outcome at one unit, without the walk. What is missing is asked at a terminal; photos are copied
// before the entry that names them is written, so that no entry names a photo that is not there.

import {
  asFailed,
  deferralReasons,
  failureCauses,
  leftStates,
  type OutcomeClaim,
  type OutcomePlan,
  outcomeKinds,
  planOutcome,
  withDisplayConfirmed,
} from '../fleet/plan-outcome.ts';
import { type Routes, routesOn } from '../fleet/routes.ts';
import { standingOf } from '../fleet/status.ts';
import type { Product } from '../manifest/schema.ts';
import { draftEntry, type OutcomeLogged, type Photo } from '../record/entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import type { OutcomeKind } from '../record/unit-state.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay, formatLocalTime, parseLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { copyPhoto } from './copy-photo.ts';
import { requireText, textOption } from './option-text.ts';
import { requireUnitInService } from './registered-unit.ts';
import { statusText } from './unit-view.ts';

export async function run(
  context: Context,
  positionals: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { clock, terminal } = context;
  const nowMs = clock.now();
  const atMs = claimedTime(context, options.at, nowMs);
  const by = textOption(options, 'by', '--by', 80);
  const unit = await requireUnitInService(context, positionals[0]);
  const patterns = (await context.catalogue()).products.get(unit.product)?.patterns ?? [];
  const claim = await requireClaim(context, positionals[1], options, patterns);
  const typedBy = requireText(await context.requireTypedBy(), '--as', 80);
  const routes = routesOn(await context.catalogue(), formatLocalDay(nowMs, clock));
  const { body: planned, notices } = await settle(context, claim, unit, routes);

  const photos = await photosOf(context, options.photo);
  const body: OutcomeLogged = photos.length === 0 ? planned : { ...planned, photos };
  const store = await context.record('write');
  const draft = draftEntry('outcome', { claimedAt: formatLocalTime(atMs, clock), typedBy, doneBy: by }, body);
  const [entry] = await store.append([draft]);

  const after = (await store.unit(unit.serial)) ?? unit;
  const standing = standingOf(after, routes);
  for (const line of notices) terminal.notice(line);
  return {
    exit: 0,
    json: {
      entry,
      status: standing.status,
      serial: unit.serial,
      outcome: body.outcome,
      said: body.said ?? body.outcome,
      evidence: body.evidence,
      release: body.release ?? null,
      left: body.left ?? null,
      path: standing.path.map(({ version }) => version),
      notices,
    },
    text: [
      `Logged as ${entry?.id}: ${printable(unit.serial)} ${body.outcome}${body.release === undefined ? '' : ` (${body.release})`}.`,
      `Status: ${statusText(standing)}.`,
    ].join('\n'),
  };
}

async function requireOutcome(context: Context, text: string | undefined): Promise<OutcomeKind> {
  if (text === undefined) {
    const choices = outcomeKinds.map((value) => ({ value, label: value }));
    return await context.terminal.choose('What was the outcome?', choices, 'OUTCOME');
  }
  const outcome = outcomeKinds.find((kind) => kind === text.trim().toLowerCase());
  if (outcome !== undefined) return outcome;
  throw new Failure({
    code: 'outcome-unknown',
    exit: 2,
    summary: 'There is no such outcome.',
    seen: printable(text, 40),
    expected: outcomeKinds.join(', '),
    next: 'Give one of these after the serial.',
  });
}

/** The options as said; what matters for this outcome and is missing is asked, where somebody can be asked. */
async function requireClaim(
  context: Context,
  outcomeText: string | undefined,
  options: OptionValues,
  patterns: Product['patterns'],
): Promise<OutcomeClaim> {
  const outcome = await requireOutcome(context, outcomeText);
  const text = (name: string, flag: string, maxLength: number) => textOption(options, name, flag, maxLength);
  const said = withoutAbsent({
    release: text('release', '--release', 140),
    versionBefore: text('versionBefore', '--version-before', 64),
    versionRead: text('versionRead', '--version-read', 64),
    lights: text('lights', '--lights', 80),
    left: leftStates.find((state) => state === options.left),
    reason: text('reason', '--reason', 40),
    cause: text('cause', '--cause', 40),
    card: text('card', '--card', 200),
    case: text('case', '--case', 80),
    told: text('told', '--told', 80),
    note: text('note', '--note', 2000),
  });
  return { outcome, ...said, ...(await askedFor(context, outcome, said, patterns)) };
}

async function askedFor(
  { terminal }: Context,
  outcome: OutcomeKind,
  said: Partial<OutcomeClaim>,
  patterns: Product['patterns'],
): Promise<Partial<OutcomeClaim>> {
  const readVersion = () => terminal.text('Which version does the unit show?', '--version-read VERSION');
  if (outcome === 'already-current' && said.versionRead === undefined) {
    return { versionRead: requireText(await readVersion(), '--version-read', 64) };
  }
  if (!terminal.interactive) return {};
  if (outcome === 'deferred' && said.reason === undefined) {
    const choices = deferralReasons.map((value) => ({ value, label: value }));
    return { reason: await terminal.choose('Why was it deferred?', choices, '--reason REASON') };
  }
  if (outcome === 'updated' && said.versionRead === undefined && said.lights === undefined) {
    const wasRead = await terminal.confirm(
      'Was the new version read from the unit?',
      '--version-read VERSION',
    );
    if (wasRead) return { versionRead: requireText(await readVersion(), '--version-read', 64) };
    const seen = patterns.map(({ id, means }) => ({
      value: id as string | undefined,
      label: `${id}: ${means}`,
    }));
    const none = { value: undefined, label: 'the lights were not seen' };
    const lights = await terminal.choose('What did its lights show?', [...seen, none], '--lights PATTERN');
    return lights === undefined ? {} : { lights };
  }
  if (outcome === 'failed') {
    const left = leftStates.map((value) => ({ value, label: value }));
    const causes = [...failureCauses, undefined].map((value) => ({ value, label: value ?? 'not known' }));
    const cause = said.cause ?? (await terminal.choose('What did it fail on?', causes, '--cause CAUSE'));
    return {
      left: said.left ?? (await terminal.choose('How was the unit left?', left, '--left HOW')),
      ...(cause === undefined ? {} : { cause }),
    };
  }
  return {};
}

type Settled = Pick<OutcomePlan, 'body' | 'notices'>;

/** An `updated` whose version read is not the release's is taken only where a person says that it is so shown. */
async function settle(
  context: Context,
  claim: OutcomeClaim,
  unit: UnitRecord,
  routes: Routes,
): Promise<Settled> {
  const { terminal } = context;
  const plan = planOutcome(claim, unit, routes);
  if (!plan.otherVersion) return plan;
  const read = printable(claim.versionRead ?? '');
  if (!terminal.interactive) {
    const notice = `The version read, ${read}, is not that of ${plan.body.release}, and nobody could be asked: recorded as failed.`;
    return { body: asFailed(plan.body, claim.left !== undefined), notices: [...plan.notices, notice] };
  }
  const question = `${read} is not the version of ${plan.body.release}. Does the display really show ${read}?`;
  if (await terminal.confirm(question, '--version-read VERSION')) {
    return { body: withDisplayConfirmed(plan.body), notices: plan.notices };
  }
  const again = await terminal.text('Which version does the display show?', '--version-read VERSION');
  return await settle(
    context,
    { ...claim, versionRead: requireText(again, '--version-read', 64) },
    unit,
    routes,
  );
}

function claimedTime({ clock }: Context, text: OptionValues[string], nowMs: number): number {
  if (typeof text !== 'string') return nowMs;
  const today = /^\d{1,2}:\d{2}(:\d{2})?$/.test(text.trim());
  const whole = today ? `${formatLocalDay(nowMs, clock)}T${text.trim().padStart(5, '0')}` : text;
  const atMs = parseLocalTime(whole, clock);
  if (atMs !== undefined && atMs <= nowMs) return atMs;
  throw new Failure({
    code: atMs === undefined ? 'time-form' : 'time-future',
    exit: 2,
    summary: atMs === undefined ? '--at is no time.' : '--at lies in the future.',
    seen: printable(text, 60),
    expected: atMs === undefined ? '2026-11-24T14:30, 14:30 for today, or with an offset' : 'now or earlier',
    where: '--at',
    next: "Give the time at which the work ended; without --at it is now. Check the laptop's clock.",
  });
}

async function photosOf(context: Context, value: OptionValues[string]): Promise<Photo[]> {
  const paths = (
    Array.isArray(value) ? value : value === undefined ? [] : [String(value)]
  ) as readonly string[];
  if (paths.length === 0) return [];
  context.workspace.make();
  return paths.map((path) => copyPhoto(context, path));
}

function withoutAbsent<T extends object>(values: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  const present = Object.entries(values).filter(([, value]) => value !== undefined);
  return Object.fromEntries(present) as { [K in keyof T]?: Exclude<T[K], undefined> };
}
