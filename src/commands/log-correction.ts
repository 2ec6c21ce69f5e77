// `log --corrects ID`: a new entry that takes the old one's place when things are added up. What is not said again stays
// as it was; the claimed time and who did the work too. Both entries stay, and `units show` shows both. Of an outcome
// every part can be said anew; any other entry can be made void and then be made again by its own command. An entry
// never goes to another unit, and the trace of a walk is not rewritten: its outcome is what counts.

import { type OutcomeClaim, outcomeKinds } from '../fleet/plan-outcome.ts';
import { routesOn } from '../fleet/routes.ts';
import { standingOf } from '../fleet/status.ts';
import type { Entry, EntryDraft } from '../ports/record-store.ts';
import { type Correction, draftEntry, knownEntry, type OutcomeLogged } from '../record/entry.ts';
import { entryText } from '../record/entry-text.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { requireClaimedTime } from './claimed-time.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { photosOf } from './copy-photo.ts';
import { type CorrectionTarget, requireTarget } from './correction-target.ts';
import { requireOutcome, saidOf } from './log.ts';
import { requireText, textOption } from './option-text.ts';
import { findRegisteredUnit } from './registered-unit.ts';
import { settleOutcome } from './settle-outcome.ts';
import { statusText } from './unit-view.ts';

export async function logCorrection(
  context: Context,
  positionals: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { clock, terminal } = context;
  const [typedSerial, typedOutcome] = serialAndOutcome(positionals);
  requireFitting(typedOutcome, options);
  const target = await requireTarget(context, String(options.corrects));
  if (options.void === true && target.isVoid) throw voidAlready(target.entry);
  const serial = typeof target.entry.body.serial === 'string' ? target.entry.body.serial : undefined;
  await requireSameUnit(context, typedSerial, serial);
  const why =
    textOption(options, 'why', '--why', 2000) ??
    requireText(await terminal.text('What was wrong?', '--why TEXT'), '--why', 2000);
  const at =
    typeof options.at === 'string' ? requireClaimedTime(context, options.at, clock.now()) : undefined;
  const by = textOption(options, 'by', '--by', 80);

  const base: Pick<Correction, 'serial' | 'kind' | 'why'> = {
    ...(serial === undefined ? {} : { serial }),
    kind: target.entry.kind,
    why,
  };
  const { stands } = target;
  const says = options.void === true ? undefined : await newOutcome(context, target, typedOutcome, options);
  const claimedAt = at === undefined ? stands.claimedAt : formatLocalTime(at, clock);
  const doneBy = by ?? stands.doneBy;
  if (says !== undefined) requireChange(stands, { claimedAt, doneBy, body: says.body });

  const typedBy = requireText(await context.requireTypedBy(), '--as', 80);
  const naming = ({ id, hash }: Entry) => ({ corrects: { id, hash } });
  const drafts: EntryDraft[] = [
    draftEntry(
      'correction',
      { claimedAt, typedBy, doneBy },
      {
        ...base,
        ...naming(target.entry),
        ...(says === undefined
          ? { void: true }
          : { body: says.body as unknown as EntryDraft['body'], bodyVersion: target.entry.kindVersion }),
      },
    ),
    // What only said the same again would otherwise count in its place.
    ...target.repeats.map((entry) =>
      draftEntry(
        'correction',
        { claimedAt: entry.claimedAt, typedBy, doneBy: entry.doneBy },
        {
          ...base,
          ...naming(entry),
          void: true,
        },
      ),
    ),
  ];
  const store = await context.record('write');
  const [entry] = await store.append(drafts);
  const unit = serial === undefined ? undefined : await store.unit(serial);
  const routes = routesOn(await context.catalogue(), formatLocalDay(clock.now(), clock));
  const standing = unit === undefined ? undefined : standingOf(unit, routes);
  const notices = says?.notices ?? [];
  for (const line of notices) terminal.notice(line);
  return {
    exit: 0,
    json: {
      entry,
      status: standing?.status ?? null,
      serial: serial ?? null,
      corrects: target.entry.id,
      void: says === undefined,
      outcome: says?.body.outcome ?? null,
      said: says === undefined ? null : (says.body.said ?? says.body.outcome),
      evidence: says?.body.evidence ?? null,
      release: says?.body.release ?? null,
      left: says?.body.left ?? null,
      path: standing?.path.map(({ version }) => version) ?? [],
      alsoVoid: target.repeats.map(({ id }) => id),
      notices,
    },
    text: [
      `Was:  ${entryText(stands)}  [${target.entry.id}]`,
      `Now:  ${says === undefined ? 'does not count' : entryText({ ...stands, body: says.body as never })}`,
      `Corrected as ${entry?.id}; both stay on record.`,
      ...(standing === undefined || unit === undefined
        ? []
        : [`Status of ${printable(unit.serial)}: ${statusText(standing)}.`]),
    ].join('\n'),
  };
}

function voidAlready({ id }: Entry): Failure {
  return new Failure({
    code: 'void-already',
    exit: 2,
    summary: 'This entry is void already: it does not count.',
    where: printable(id),
    next: 'Nothing has to be done. To have it count again, say it anew: --corrects ID with what is right.',
  });
}

/** The entry says which unit it is: its serial may be left out. */
function serialAndOutcome([first, second]: readonly (string | undefined)[]): [
  serial: string | undefined,
  outcome: string | undefined,
] {
  const isOutcome = second === undefined && outcomeKinds.some((kind) => kind === first?.trim().toLowerCase());
  return isOutcome ? [undefined, first] : [first, second];
}

/** Said anew over what counts now; where the outcome is another, what belonged to the old one alone is left out. */
async function newOutcome(
  context: Context,
  { entry, stands }: CorrectionTarget,
  typedOutcome: string | undefined,
  options: OptionValues,
) {
  const known = knownEntry(stands);
  const { serial } = entry.body;
  if (known?.kind !== 'outcome' || typeof serial !== 'string') {
    throw new Failure({
      code: 'correct-by-void',
      exit: 2,
      summary: 'Only an outcome can be said anew.',
      seen: printable(entry.kind, 40),
      where: printable(entry.id),
      next: 'Make it void with --void, then enter it again by its own command.',
    });
  }
  const store = await context.record('read');
  const unit = await store?.unit(serial);
  if (unit === undefined) {
    throw new Failure({
      code: 'unit-unknown',
      exit: 2,
      summary: 'The unit of this entry is not registered.',
      seen: printable(serial),
      next: 'Register it first, or make the entry void with --void.',
    });
  }
  const { body } = known;
  const { evidence: _e, said, displayConfirmed, collected, sheet, photos: before, serial: _s, ...old } = body;
  const outcome =
    typedOutcome === undefined ? (said ?? body.outcome) : await requireOutcome(context, typedOutcome);
  const isSame = outcome === (said ?? body.outcome);
  const anew = saidOf(options);
  const claim: OutcomeClaim = { ...(isSame ? old : withoutOldOutcome(old)), ...anew, outcome };
  const routes = routesOn(await context.catalogue(), formatLocalDay(context.clock.now(), context.clock));
  // What a person confirmed of this very version is not asked again.
  const isConfirmed = displayConfirmed === true && claim.versionRead === body.versionRead && isSame;
  const settled = isConfirmed
    ? (await import('./settle-outcome.ts')).settleUnasked(claim, unit, routes, true)
    : await settleOutcome(context, claim, unit, routes);
  const photos = [...(before ?? []), ...photosOf(context, options.photo)];
  return {
    notices: settled.notices,
    body: {
      ...settled.body,
      ...(photos.length === 0 ? {} : { photos }),
      ...(sheet === undefined ? {} : { sheet }),
      ...(collected === undefined ? {} : { collected }),
    } satisfies OutcomeLogged,
  };
}

function withoutOldOutcome(
  old: Omit<Partial<OutcomeClaim>, 'outcome'>,
): Omit<Partial<OutcomeClaim>, 'outcome'> {
  const { left: _l, reason: _r, cause: _c, ...rest } = old;
  return rest;
}

function requireChange(
  stands: Entry,
  now: { readonly claimedAt: string; readonly doneBy: string; readonly body: OutcomeLogged },
): void {
  const text = ({ claimedAt, doneBy, body }: { claimedAt: string; doneBy: string; body: unknown }) =>
    JSON.stringify([claimedAt, doneBy, Object.entries(body as object).sort(([a], [b]) => (a < b ? -1 : 1))]);
  if (text(stands) !== text(now)) return;
  throw new Failure({
    code: 'nothing-corrected',
    exit: 2,
    summary: 'Nothing would be different.',
    seen: entryText(stands),
    next: `Say what is to be different: an outcome (${outcomeKinds.join(', ')}), an option; or --void.`,
  });
}

async function requireSameUnit(
  context: Context,
  typed: string | undefined,
  serial: string | undefined,
): Promise<void> {
  if (typed === undefined || typed === serial) return;
  const store = await context.record('read');
  const unit = store === undefined ? undefined : await findRegisteredUnit(context, store, typed);
  if (unit !== undefined && unit.serial === serial) return;
  throw new Failure({
    code: 'wrong-unit',
    exit: 2,
    summary: 'This entry is of another unit, and a correction never carries it to one.',
    seen: printable(typed, 80),
    expected: printable(serial ?? 'no serial: the entry is of no unit', 80),
    where: '--corrects',
    next: 'Make it void with --void, and log it anew at the right unit.',
  });
}

/** Options that go with nothing to be corrected, or not with an entry that is to be void. */
function requireFitting(typedOutcome: string | undefined, options: OptionValues): void {
  const withVoid = options.void === true ? Object.keys(saidOf(options)).concat(['photo', 'at', 'by']) : [];
  if (options.void === true && typedOutcome !== undefined) {
    throw new Failure({
      code: 'option-misplaced',
      exit: 2,
      summary: 'An entry that is void has no outcome.',
      seen: printable(typedOutcome, 40),
      where: '--void',
      next: 'Leave out the outcome, or --void.',
    });
  }
  for (const name of ['sheet', 'again', 'answers', ...withVoid]) {
    if (options[name] === undefined) continue;
    const flag = `--${name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`)}`;
    throw new Failure({
      code: 'option-misplaced',
      exit: 2,
      summary: `${flag} does not go with ${options.void === true ? '--void' : '--corrects'}.`,
      where: flag,
      next: `Leave ${flag} out.`,
    });
  }
}
