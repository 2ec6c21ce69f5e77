// The walk at a terminal: each question between two lines, its keys below it, timers running. Large plain lines,
// no colour needed, 60 columns suffice. Ctrl-C comes out as the terminal's own Failure: the caller stops in order.

import type { KeyChoice, RunningLine, Terminal } from '../ports/terminal.ts';
import type { WalkEvent } from '../procedure/walk/walk-event.ts';
import type { WalkQuestion } from '../procedure/walk/walk-question.ts';
import { complaintText } from '../sheet/walk/complaint-text.ts';
import { meaningText, patternKey, plainBlanks, questionText } from '../sheet/walk/question-text.ts';
import type { WalkTexts } from '../sheet/walk/walk-texts.ts';
import { formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { paint } from './paint.ts';
import type { CardDesk, WalkFront } from './walk-front.ts';
import { mostColumns, wrapLines, wrapParagraphs } from './wrap-lines.ts';

export interface WalkTerminalFacts {
  readonly terminal: Terminal;
  readonly texts: WalkTexts;
  readonly cards: CardDesk;
  readonly clock: { now(): number; offsetMinutes(atMs: number): number };
}

type Said = WalkEvent extends infer E ? (E extends { atMs: number } ? Omit<E, 'atMs'> : never) : never;

/** Named where there is no terminal to ask at. */
const option = '--answers FILE';
const stopKey = 's';

/** `6:42`, or `42 s` in the last minute. */
export function formatLeft(ms: number): string {
  const seconds = Math.max(0, Math.ceil(ms / 1000));
  if (seconds < 60) return `${seconds} s`;
  const minutes = Math.floor(seconds / 60);
  const rest = `${String(minutes % 60).padStart(minutes < 60 ? 1 : 2, '0')}:${String(seconds % 60).padStart(2, '0')}`;
  return minutes < 60 ? rest : `${Math.floor(minutes / 60)}:${rest}`;
}

export function walkTerminal(facts: WalkTerminalFacts): WalkFront {
  const { terminal, texts, clock } = facts;
  return {
    async answer(question, lastMs) {
      show(facts, question);
      const said = await ask(facts, question);
      const atMs = Math.max(clock.now(), lastMs);
      if (said.kind === 'card' && said.standing.now === 'ready')
        terminal.notice(wrapLines([`  ${texts.words.walk.cardReady}`], terminal.columns));
      return { ...said, atMs } as WalkEvent;
    },
    finish: () => {},
  };
}

function show({ terminal, texts }: WalkTerminalFacts, question: WalkQuestion): void {
  const width = Math.min(terminal.columns, mostColumns);
  const { head, warning, lines } = questionText(texts, question);
  if (question.complaint !== null) {
    terminal.notice(wrapLines([`! ${complaintText(texts, question.complaint)}`], terminal.columns));
  }
  terminal.notice('');
  terminal.notice('='.repeat(width));
  terminal.notice(paint(head, 'bold', terminal.colour));
  if (warning !== null)
    terminal.notice(paint(wrapLines([`! ${warning}`], terminal.columns), 'red', terminal.colour));
  terminal.notice(`\n${wrapParagraphs(lines, terminal.columns)}`);
  terminal.notice('');
}

async function ask(facts: WalkTerminalFacts, { asked }: WalkQuestion): Promise<Said> {
  const { terminal, texts, clock } = facts;
  const { walk } = texts.words;
  const { keys } = walk;
  const stop: KeyChoice<Said> = { key: stopKey, label: keys.stop, value: { kind: 'stop' } };
  const key = <T>(choices: readonly KeyChoice<T>[], running?: RunningLine<T>) =>
    terminal.key(choices, option, running);
  const one = (keyName: string, label: string, value: Said): KeyChoice<Said> => ({
    key: keyName,
    label,
    value,
  });
  const text = (question: string) => terminal.text(question, option);
  /** A text to type, behind a key, so that a stop is one key away as well. */
  const typed = async (make: () => Promise<Said>, ...others: KeyChoice<Said>[]): Promise<Said> => {
    const type = Symbol('type');
    const chosen = await key<Said | typeof type>([
      { key: 't', label: keys.type, value: type },
      ...others,
      stop,
    ]);
    return chosen === type ? await make() : (chosen as Said);
  };
  const numbered = (labels: readonly string[], make: (index: number) => Said): Promise<Said> =>
    key([...labels.map((label, index) => one(patternKey(index), label, make(index))), stop]);

  switch (asked.kind) {
    case 'caution':
      return await key([one('Enter', keys.read, { kind: 'caution-read' }), stop]);
    case 'card':
      return await askCard(facts);
    case 'plate':
      return await typed(async () => ({
        kind: 'plate',
        lastFour: await text(walk.lastFour),
        revision: await text(walk.revision),
      }));
    case 'version-before':
      return await typed(
        async () => ({ kind: 'version-before', version: await text(walk.version) }),
        one('u', keys.noVersion, { kind: 'version-before-unreadable' }),
      );
    case 'lead': {
      const said = await key<Said | boolean>([
        { key: 'g', label: keys.leadGo, value: true },
        { key: 'n', label: keys.leadNot, value: false },
        stop,
      ]);
      if (typeof said !== 'boolean') return said;
      return { kind: 'lead-says', goOn: said, name: await text(walk.leadName) };
    }
    case 'settings':
      return await typed(async () => {
        const values: string[] = [];
        for (const setting of asked.settings) values.push(await text(printable(setting)));
        return { kind: 'settings', values };
      });
    case 'starts':
      return await key([
        one('y', keys.yesAll, { kind: 'starts', asSaid: true }),
        one('n', keys.otherwise, { kind: 'starts', asSaid: false }),
        stop,
      ]);
    case 'do':
      return await key([
        one('d', keys.done, { kind: 'done' }),
        one('c', keys.cannot, { kind: 'cannot' }),
        stop,
      ]);
    case 'hold':
      return await askHold(facts, asked.step.forSeconds, stop);
    case 'plate-time':
      return await typed(
        async () => ({ kind: 'plate-time', minutes: await text(walk.plateMinutes) }),
        one('n', keys.noPlate, { kind: 'plate-time', minutes: null }),
      );
    case 'wait': {
      const over: Said = { kind: 'done' };
      const said = await key([stop], {
        line: (nowMs) => plainBlanks(walk.waiting(formatLeft(asked.overMs - nowMs))),
        over: { atMs: asked.overMs, value: over },
      });
      if (said !== over) return said;
      terminal.notice(`  ${walk.waited}`);
      return await key([one('d', keys.goOn, over), stop]);
    }
    case 'measure': {
      if (asked.stage === 'reading') {
        const reading = await text(
          `${printable(asked.pair ?? texts.words.steps.reading)} [${printable(asked.step.measure.in)}]`,
        );
        return reading.toLowerCase() === stopKey ? { kind: 'stop' } : { kind: 'reading', text: reading };
      }
      const isReview = asked.stage === 'review';
      return await key([
        one(
          'y',
          isReview ? keys.take : keys.good,
          isReview ? { kind: 'readings', taken: true } : { kind: 'meter', good: true },
        ),
        one(
          'n',
          isReview ? keys.again : keys.bad,
          isReview ? { kind: 'readings', taken: false } : { kind: 'meter', good: false },
        ),
        stop,
      ]);
    }
    case 'watch':
      return await key(
        [
          ...asked.patterns.map(({ pattern, keeps }, index) =>
            one(patternKey(index), meaningText(texts, pattern, keeps), {
              kind: 'lights',
              pattern: pattern.id,
            }),
          ),
          one('u', keys.unlisted, { kind: 'unlisted' }),
          stop,
        ],
        {
          line: (nowMs) => plainBlanks(walk.watchLeft(formatLeft(asked.overMs - nowMs))),
          over: { atMs: asked.overMs, value: { kind: 'time-up' } },
        },
      );
    case 'read':
      return await typed(
        async () => ({ kind: 'version', version: await text(walk.version) }),
        one('u', keys.noVersion, { kind: 'unreadable' }),
      );
    case 'sign':
      return await key([
        one('y', keys.yes, { kind: 'sign', seen: true }),
        one('n', keys.no, { kind: 'sign', seen: false }),
        stop,
      ]);
    case 'restore':
      return await key([
        one('d', keys.restored, { kind: 'restored', restored: true }),
        one('n', keys.notRestored, { kind: 'restored', restored: false }),
        stop,
      ]);
    case 'position':
      return await numbered(asked.states, (index) => ({ kind: 'position', state: asked.states[index]! }));
    case 'left':
    case 'cause':
    case 'reason': {
      const { choices } = asked;
      return await numbered(
        choices.map((value) => walk.choices[value]),
        (index) => ({ kind: asked.kind, [asked.kind]: choices[index] }) as Said,
      );
    }
    case 'case':
      return await typed(
        async () => ({ kind: 'case', number: await text(walk.caseNumber) }),
        one('n', keys.noCase, { kind: 'case', number: null }),
      );
    case 'told':
      return await typed(
        async () => ({ kind: 'told', name: await text(walk.toldName) }),
        one('n', keys.nobody, { kind: 'told', name: null }),
      );
    case 'stopped': {
      const lookAgain = asked.why !== 'asked' && asked.why !== 'cannot';
      return await key([
        ...(asked.mayGoOn ? [one('g', lookAgain ? keys.lookAgain : keys.backToWalk, { kind: 'go-on' })] : []),
        one('b', keys.breakOff, { kind: 'break-off' }),
        ...asked.outcomes.map((outcome) =>
          outcome === 'failed'
            ? one('f', keys.endFailed, { kind: 'end-here', outcome })
            : one('d', keys.endDeferred, { kind: 'end-here', outcome }),
        ),
      ]);
    }
    case 'nothing':
      throw new RangeError(`nothing is asked at ${clock.now()}`);
  }
}

async function askHold(
  { terminal, texts, clock }: WalkTerminalFacts,
  { min, max }: { min: number; max: number },
  stop: KeyChoice<Said>,
): Promise<Said> {
  const { words } = texts;
  const { keys } = words.walk;
  terminal.notice(`  ${words.walk.holdNow}`);
  const begun: Said = { kind: 'done' };
  const said = await terminal.key([{ key: 'b', label: keys.begin, value: begun }, stop], option);
  if (said !== begun) return said;
  const fromMs = clock.now();
  return await terminal.key([{ key: 'd', label: keys.held, value: begun }, stop], option, {
    line: (nowMs) =>
      plainBlanks(
        words.walk.holding(Math.floor((nowMs - fromMs) / 1000), words.duration(min), words.duration(max)),
      ),
  });
}

async function askCard({ terminal, texts, cards, clock }: WalkTerminalFacts): Promise<Said> {
  const { walk } = texts.words;
  const { keys } = walk;
  const known = (await cards.prepared()).slice(0, 9);
  const stop = { key: stopKey, label: keys.stop, value: null };
  const chosen = await terminal.key<string | null | undefined>(
    [
      ...known.map(({ name, preparedMs }, index) => {
        const when = formatLocalTime(preparedMs, clock).slice(0, 16).replace('T', ' ');
        return { key: patternKey(index), label: walk.cardOf(printable(name, 300), when), value: name };
      }),
      { key: 'o', label: walk.cardOther, value: undefined },
      stop,
    ],
    option,
  );
  if (chosen === null) return { kind: 'stop' };
  const how = await terminal.key<'read' | 'name' | null>(
    [
      { key: 'r', label: keys.readCard, value: 'read' },
      { key: 'n', label: keys.cannotReadCard, value: 'name' },
      stop,
    ],
    option,
  );
  if (how === null) return { kind: 'stop' };
  const path = how === 'read' ? await terminal.text(walk.cardPath, option, chosen) : null;
  const name = chosen ?? (await terminal.text(walk.cardName, option, path ?? undefined));
  if (path !== null) terminal.notice(`  ${walk.cardRead}`);
  return { kind: 'card', standing: await cards.standing(name, path) };
}
