// `test-card CARD`: does the card hold what it claims? Writes to its free space alone, and is guarded and confirmed as
// `prepare` is. A test that was stopped goes on where it was.

import { keyBytes, keyedStream } from '../bytes/keyed-stream.ts';
import { type CapacityGoal, planCapacity } from '../card/capacity/capacity-plan.ts';
import { type FreeSpace, freeSpaceOf } from '../card/capacity/free-space.ts';
import type { ExaminedCard } from '../card/look/examined-card.ts';
import type { BlockReader, Blocks, CardIdentity, Proof } from '../ports/blocks.ts';
import { lookAtCard } from '../transfer/look-at-card.ts';
import { requireSameCard } from '../transfer/same-card.ts';
import { type TestEvent, type TestOutcome, type TestPoint, testCard } from '../transfer/test-card.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { formatSize } from '../words/size.ts';
import {
  type GuardedDrive,
  requireCardChoice,
  requireConfirmedId,
  requireGuardedDrive,
} from './card-place.ts';
import { type CardTestJournal, readJournal, removeJournal, writeJournal } from './card-test-journal.ts';
import type { Answer, OptionValues, Run } from './command.ts';
import type { Context } from './context.ts';
import { isDrivePlace } from './drive-place.ts';
import { letGo, unmountFirst } from './mounted-drive.ts';
import { renderTested, type TestedCard, testFindings } from './test-card-text.ts';

interface TestOrder {
  readonly path: string;
  /** What `--confirm` wants. */
  readonly id: string;
  readonly drive: GuardedDrive | undefined;
  readonly confirmed: boolean;
  readonly goal: CapacityGoal;
  readonly again: boolean;
}

export const run: Run = async (context, [given], options) => {
  const order = await requireTestOrder(context, given, options);
  const seen = await lookFirst(context, order);
  const journal = order.again ? undefined : readJournal(context, seen.identity, seen.seen);
  const goal = journal?.goal ?? order.goal;
  const resume = await goesOn(context, journal);
  const key = resume ? Buffer.from(resume.key, 'hex') : context.random.bytes(keyBytes);
  requireRoom(order, seen.space, goal, key);
  await requireTestConsent(context, order, seen.space, resume !== undefined);
  const outcome = await carryOut(context, order, seen, goal, key, resume?.point);
  await letGo(context, order);
  return answer(context, order, seen, goal, outcome);
};

function requireShare(options: OptionValues, name: string, standard: number, least: number): number {
  const value = options[name];
  if (typeof value !== 'string') return standard;
  const percent = Number(value.replace('%', '').replace(',', '.').trim());
  if (Number.isFinite(percent) && percent >= least && percent < 100) return percent / 100;
  throw new Failure({
    code: 'bad-share',
    exit: 2,
    summary: `--${name} is no share in percent.`,
    seen: printable(value, 40),
    expected: `more than ${least === 0 ? 0 : `or equal to ${least}`} and less than 100`,
    where: `--${name}`,
    next: `For example: --${name} ${standard * 100}`,
  });
}

async function requireTestOrder(
  context: Context,
  given: string | undefined,
  options: OptionValues,
): Promise<TestOrder> {
  const goal: CapacityGoal = {
    confidence: requireShare(options, 'confidence', 0.999, 50),
    fraud: requireShare(options, 'fraud', 0.05, 0.1),
    full: options.full === true,
  };
  const again = options.again === true;
  const named = given ?? (await requireCardChoice(context, 'Which card?'));
  const confirm = typeof options.confirm === 'string' ? options.confirm : undefined;
  if (isDrivePlace(context, named)) {
    const drive = await requireGuardedDrive(context, named, undefined, undefined);
    const { chosen } = drive;
    return {
      path: chosen.drive.device,
      id: chosen.id,
      drive,
      confirmed: requireConfirmedId(confirm, chosen),
      goal,
      again,
    };
  }
  if (!context.cards.exists(named)) {
    throw new Failure({
      code: 'card-absent',
      exit: 2,
      summary: 'There is no such card.',
      where: printable(named, 400),
      next: 'Look at "slotproof cards" what is plugged in and where.',
    });
  }
  if (confirm !== undefined && confirm !== named) {
    throw new Failure({
      code: 'other-card-confirmed',
      exit: 5,
      summary: 'The card that is confirmed is not the card that is named.',
      seen: `--confirm ${printable(confirm, 200)}`,
      expected: `--confirm ${printable(named, 200)}`,
      next: 'Look which card is meant, then give the same for both.',
    });
  }
  return { path: named, id: named, drive: undefined, confirmed: confirm !== undefined, goal, again };
}

interface SeenToTest {
  readonly card: ExaminedCard;
  readonly identity: CardIdentity;
  readonly seen: string;
  readonly space: FreeSpace;
  /** What reading it proves. */
  readonly method: Proof;
}

/** A card that claims more than it holds may well look so: none of these keeps the free space from being known. */
const noObstacle = [
  'volume-dirty',
  'partition-beyond-card',
  'partition-size-mismatch',
  'partition-not-active',
];

async function lookFirst(context: Context, order: TestOrder): Promise<SeenToTest> {
  await unmountFirst(context, order);
  context.cards.openToWrite(order.path).close();
  const identity = context.cards.identify(order.path);
  const reader = context.cards.openToRead(order.path);
  try {
    if (reader.proof === 'cached') throw cachedOnly(order.path);
    const { card, seen } = await lookAtCard(reader);
    const stop = card.findings.find(
      ({ code, severity }) => severity === 'stop' && !noObstacle.includes(code),
    );
    if (card.volume === null && isBlank(reader)) throw blank(order.path);
    if (card.volume === null || stop !== undefined) throw unsound(order.path, stop?.summary);
    const method = reader.proof ?? 'image';
    return { card, identity, seen, method, space: freeSpaceOf(card.volume, card.sizeBytes) };
  } finally {
    reader.close();
  }
}

function cachedOnly(path: string): Failure {
  return new Failure({
    code: 'cached-reads',
    exit: 3,
    summary:
      'The card can only be read through this computer’s memory here, which would prove nothing of the card.',
    where: path,
    next: 'Test it on a computer where it can be read directly.',
  });
}

/** Where tables and boot sectors would be there are zeros: nothing was laid out, or it was wiped for that. */
const blankBytes = 2 ** 20;

function isBlank(reader: BlockReader): boolean {
  const bytes = new Uint8Array(Math.min(blankBytes, reader.sizeBytes));
  reader.read(0, bytes);
  return bytes.every((byte) => byte === 0);
}

function blank(path: string): Failure {
  const shown = printable(path, 400);
  return new Failure({
    code: 'card-unsound',
    exit: 3,
    summary: 'The card holds no file system yet, and only free space of one is tested. Nothing was written.',
    seen: 'zeros where the card would begin to say what is on it',
    where: path,
    next: `Lay it out first, then test it: slotproof prepare ${/\s/.test(shown) ? `"${shown}"` : shown} --for RELEASE --fresh`,
  });
}

function unsound(path: string, why: string | undefined): Failure {
  return new Failure({
    code: 'card-unsound',
    exit: 3,
    summary: 'The card is damaged, so nobody knows for sure what of it is free. Nothing was written.',
    ...(why === undefined ? {} : { seen: why }),
    where: path,
    next: 'Look at it with check; copy what can be read, lay it out anew, and test it then.',
  });
}

function requireRoom({ path }: TestOrder, space: FreeSpace, goal: CapacityGoal, key: Uint8Array): void {
  if (planCapacity(space, goal, keyedStream(key).draws()).testedBytes > 0) return;
  throw new Failure({
    code: 'no-free-space',
    exit: 2,
    summary: 'There is no free space on the card that could be tested.',
    seen: `${formatSize(space.sizeBytes)} free`,
    where: path,
    next: 'Copy what is on it elsewhere, then lay it out anew and test it empty.',
  });
}

async function goesOn(
  { terminal }: Context,
  journal: CardTestJournal | undefined,
): Promise<CardTestJournal | undefined> {
  if (journal === undefined) return undefined;
  const { writtenBytes, readBytes } = journal.point;
  terminal.notice(
    `A test of this card was stopped: ${formatSize(writtenBytes)} written, ${formatSize(readBytes)} read. It goes on from there; --again begins anew.`,
  );
  return journal;
}

async function requireTestConsent(
  { terminal }: Context,
  { confirmed, path, id }: TestOrder,
  space: FreeSpace,
  goesOn: boolean,
): Promise<void> {
  if (confirmed) return;
  if (terminal.interactive && !goesOn) {
    terminal.notice(
      'Only free space is written to; files stay. What was deleted before cannot be brought back after.',
    );
    terminal.notice(
      'A card that claims more than it holds can lose files in any case: copy them elsewhere first.',
    );
  }
  const question = `Write to the free space of ${printable(path, 200)} (${formatSize(space.sizeBytes)})?`;
  if (await terminal.confirm(question, `--confirm ${id}`)) return;
  throw new Failure({
    code: 'not-confirmed',
    exit: 130,
    summary: 'Not confirmed. The card was not changed.',
    where: path,
    next: 'Run the same command again when you are sure which card it is.',
  });
}

const journalEveryMs = 5000;

async function carryOut(
  context: Context,
  order: TestOrder,
  seen: SeenToTest,
  goal: CapacityGoal,
  key: Uint8Array,
  resume: TestPoint | undefined,
): Promise<TestOutcome> {
  const { cards, clock, stop, terminal } = context;
  const blocks: Blocks = cards.openToWrite(order.path);
  let line = terminal.progress('', 'bytes');
  let phase: TestEvent['phase'] | undefined;
  let point: TestPoint | undefined = resume;
  const keep = () => {
    if (point !== undefined)
      writeJournal(context, seen.identity, seen.seen, { key: Buffer.from(key).toString('hex'), goal, point });
  };
  try {
    const drive = order.drive;
    await requireSameCard(cards, blocks, { ...seen, path: order.path }, drive && (() => drive.requireSame()));
    const now = () => clock.now();
    const steps = testCard({ blocks, space: seen.space, goal, stream: keyedStream(key), now, resume });
    let keptMs = clock.now();
    for (;;) {
      const step = steps.next();
      if (step.done) {
        removeJournal(context, seen.identity);
        return step.value;
      }
      const event = step.value;
      point = event.point;
      if (event.phase !== phase) {
        line.end();
        phase = event.phase;
        line = terminal.progress(event.phase, 'bytes');
      }
      line.at(event.doneBytes, event.totalBytes);
      if (clock.now() - keptMs > journalEveryMs) {
        keep();
        keptMs = clock.now();
      }
      // Lets a Ctrl-C through.
      await new Promise((resolve) => setImmediate(resolve));
      if (!stop.aborted) continue;
      // What stands under single units is put back as it ends.
      steps.return(undefined as never);
      keep();
      throw stopped(order.path, point !== undefined);
    }
  } finally {
    line.end();
    blocks.close();
  }
}

function stopped(path: string, goesOnLater: boolean): Failure {
  return new Failure({
    code: 'stopped',
    exit: 130,
    summary: 'Stopped. Every file is as it was, and what was free is free.',
    where: path,
    next: goesOnLater
      ? 'Run the same command again: it goes on from here.'
      : 'Run the same command again when you are ready.',
  });
}

function answer(
  context: Context,
  { path }: TestOrder,
  { card, space, method }: SeenToTest,
  goal: CapacityGoal,
  outcome: TestOutcome,
): Answer {
  const tested: TestedCard = {
    path: context.files.absolute(path),
    claimedBytes: card.sizeBytes,
    freeBytes: space.sizeBytes,
    method,
    confidence: goal.full ? 1 : goal.confidence,
    fraud: goal.fraud,
    full: goal.full,
    outcome,
  };
  const findings = testFindings(tested);
  return {
    exit: outcome.verdict === 'holds' ? exitCode.done : exitCode.no,
    json: {
      verdict: outcome.verdict,
      card: tested.path,
      claimedBytes: tested.claimedBytes,
      freeBytes: tested.freeBytes,
      testedBytes: outcome.plan.testedBytes,
      realBytes: outcome.realBytes,
      how: outcome.how,
      confidence: tested.confidence,
      fraud: goal.fraud,
      full: goal.full,
      method: tested.method,
      findings,
    },
    text: renderTested(context.terminal, tested, findings),
  };
}
