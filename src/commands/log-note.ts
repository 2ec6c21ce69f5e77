// `log SERIAL note`, `log note --card NAME`, `log note --release RELEASE`: something worth knowing, with photos. It is
// no outcome: nothing is added up from it.

import { draftEntry, type Note } from '../record/entry.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { withoutAbsent } from '../words/without-absent.ts';
import { requireClaimedTime } from './claimed-time.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { photosOf } from './copy-photo.ts';
import { requireText, textOption } from './option-text.ts';
import { requireRegisteredUnit } from './registered-unit.ts';

/** Options of an outcome that a note cannot carry. */
const ofOutcomes = {
  versionBefore: '--version-before',
  versionRead: '--version-read',
  lights: '--lights',
  left: '--left',
  reason: '--reason',
  cause: '--cause',
  case: '--case',
  told: '--told',
  sheet: '--sheet',
  again: '--again',
  answers: '--answers',
  void: '--void',
  why: '--why',
} as const;

export async function logNote(
  context: Context,
  typedSerial: string | undefined,
  options: OptionValues,
): Promise<Answer> {
  for (const [name, flag] of Object.entries(ofOutcomes)) {
    if (options[name] !== undefined) throw misplaced(flag);
  }
  const { clock, terminal } = context;
  const nowMs = clock.now();
  const atMs = typeof options.at === 'string' ? requireClaimedTime(context, options.at, nowMs) : nowMs;
  const by = textOption(options, 'by', '--by', 80);
  const card = textOption(options, 'card', '--card', 200);
  const release = textOption(options, 'release', '--release', 140);
  const serial =
    typedSerial === undefined ? undefined : (await requireRegisteredUnit(context, typedSerial)).serial;
  const text =
    textOption(options, 'note', '--note', 2000) ??
    requireText(await terminal.text('What is worth knowing?', '--note TEXT'), '--note', 2000);
  const typedBy = requireText(await context.requireTypedBy(), '--as', 80);
  const photos = photosOf(context, options.photo);
  const body: Note = {
    ...withoutAbsent({ serial, card, release }),
    text,
    ...(photos.length === 0 ? {} : { photos }),
  };
  const store = await context.record('write');
  const claimedAt = formatLocalTime(atMs, clock);
  const [entry] = await store.append([draftEntry('note', { claimedAt, typedBy, doneBy: by }, body)]);
  const of = [serial, card === undefined ? undefined : `card ${card}`, release].filter(
    (one) => one !== undefined,
  );
  return {
    exit: 0,
    json: { entry, note: body },
    text: `Noted as ${entry?.id}${of.length === 0 ? '' : `: ${printable(of.join(', '))}`}.`,
  };
}

function misplaced(flag: string): Failure {
  return new Failure({
    code: 'option-misplaced',
    exit: 2,
    summary: `${flag} does not go with a note.`,
    where: flag,
    next: `Leave ${flag} out, or write it into --note.`,
  });
}
