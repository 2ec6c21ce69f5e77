// The walk without a terminal: a file of answers, one JSON object a line, each for one question by its name. A
// line for another question, one too few or too many, an unknown field, a time in the future or before the one
// before it: each is an error, and what was logged until then stays. README.md of the tool lists the answers.

import type { WalkEvent } from '../procedure/walk/walk-event.ts';
import type { WalkQuestion } from '../procedure/walk/walk-question.ts';
import { complaintText } from '../sheet/walk/complaint-text.ts';
import type { WalkTexts } from '../sheet/walk/walk-texts.ts';
import { parseLocalTime } from '../words/local-time.ts';
import { type AnswerLine, answerFailure, decodeAnswerLines, FieldReader, placeOf } from './answer-line.ts';
import type { CardDesk, WalkFront } from './walk-front.ts';

export interface WalkAnswersFacts {
  readonly content: string;
  readonly path: string;
  readonly texts: WalkTexts;
  readonly cards: CardDesk;
  readonly clock: { now(): number; offsetMinutes(atMs: number): number };
}

type Said = WalkEvent extends infer E ? (E extends { atMs: number } ? Omit<E, 'atMs'> : never) : never;

export function walkAnswers(facts: WalkAnswersFacts): WalkFront {
  const { path, clock } = facts;
  const lines = decodeAnswerLines(facts.content, path);
  let next = 0;
  let used: AnswerLine | undefined;
  /** What one line says to several questions that follow each other. */
  let rest: WalkEvent[] = [];

  return {
    async answer(question, lastMs) {
      const { complaint } = question;
      if (complaint !== null) {
        rest = [];
        if (!complaint.heard) {
          throw answerFailure(
            'answer-refused',
            placeOf(path, used ?? { line: 1 }),
            `The answer was not taken: ${complaintText(facts.texts, complaint)}`,
            { ...(used && { seen: JSON.stringify(used.fields) }) },
          );
        }
      }
      const waiting = rest.shift();
      if (waiting !== undefined) return waiting;
      const line = lines[next];
      const name = nameOf(question);
      const expected = exampleOf(question);
      if (line === undefined) {
        const before = complaint === null ? '' : ` ${complaintText(facts.texts, complaint)}`;
        throw answerFailure('answer-missing', path, `No answer is left for ${name.text}.${before}`, {
          expected,
        });
      }
      next += 1;
      used = line;
      const where = placeOf(path, line);
      const reader = new FieldReader(line.fields, where, expected);
      const atMs = timeOf(reader, clock, where, lastMs);
      if (reader.has('stop')) {
        reader.yes('stop');
        reader.done();
        return { kind: 'stop', atMs };
      }
      if (!reader.has(name.key) || line.fields[name.key] !== name.value) {
        throw answerFailure(
          'answer-misplaced',
          where,
          `This answer is not for ${name.text}, which is asked now.`,
          {
            seen: JSON.stringify(line.fields),
            expected,
          },
        );
      }
      reader.text(name.key);
      const said = await read(facts, question, reader);
      reader.done();
      const [first, ...more] = said.map((one) => ({ ...one, atMs }) as WalkEvent);
      rest = more;
      return first!;
    },
    finish() {
      const line = lines[next];
      if (line === undefined) return;
      const count = lines.length - next;
      throw answerFailure(
        'answers-left-over',
        placeOf(path, line),
        `The visit is over and logged, and ${count === 1 ? 'one answer is' : `${count} answers are`} left over.`,
        { seen: JSON.stringify(line.fields) },
      );
    },
  };
}

/** Never in the future; whether it runs backwards is the walk's to say. Without a time it is now. */
function timeOf(
  reader: FieldReader,
  clock: WalkAnswersFacts['clock'],
  where: string,
  lastMs: number,
): number {
  const nowMs = clock.now();
  if (!reader.has('at')) return Math.max(nowMs, lastMs);
  const text = reader.text('at', 60);
  const atMs = parseLocalTime(text, clock);
  if (atMs !== undefined && atMs <= nowMs) return atMs;
  throw answerFailure(
    atMs === undefined ? 'time-form' : 'time-future',
    where,
    atMs === undefined ? 'at is no time.' : 'at lies in the future.',
    { seen: text, expected: 'a time that has passed, such as 2026-11-24T14:30:00' },
  );
}

interface Name {
  readonly key: 'step' | 'ask';
  readonly value: string;
  readonly text: string;
}

const askNames: Partial<Record<WalkQuestion['asked']['kind'], string>> = {
  caution: 'cautions',
  sign: 'service',
  restore: 'restored',
  position: 'positions',
};

function nameOf({ asked, step }: WalkQuestion): Name {
  if (step !== null && asked.kind !== 'stopped')
    return { key: 'step', value: step.id, text: `step ${step.id}` };
  const value = asked.kind === 'measure' ? asked.step.id : (askNames[asked.kind] ?? asked.kind);
  return { key: 'ask', value, text: `the question ${value}` };
}

/** What one line says, as the events it stands for. */
async function read(
  { texts, cards }: WalkAnswersFacts,
  { asked, step }: WalkQuestion,
  reader: FieldReader,
): Promise<Said[]> {
  switch (asked.kind) {
    case 'caution':
      reader.yes('read');
      return Array.from({ length: asked.count - asked.index }, () => ({ kind: 'caution-read' }));
    case 'card': {
      const name = reader.text('card', 4096);
      const path = reader.has('path') ? reader.textOrNull('path') : null;
      return [{ kind: 'card', standing: await cards.standing(name, path) }];
    }
    case 'plate':
      return [{ kind: 'plate', lastFour: reader.text('lastFour'), revision: reader.text('revision') }];
    case 'version-before':
      if (!reader.has('unreadable'))
        return [{ kind: 'version-before', version: reader.text('version'), sure: true }];
      reader.yes('unreadable');
      return [{ kind: 'version-before-unreadable' }];
    case 'lead':
      return [{ kind: 'lead-says', goOn: reader.truth('goOn'), name: reader.text('name', 80) }];
    case 'settings':
      return [
        { kind: 'settings', values: reader.mapping('values', asked.settings, (one, key) => one.text(key)) },
      ];
    case 'starts':
      return [{ kind: 'starts', asSaid: reader.truth('asSaid') }];
    case 'do':
      if (reader.has('cannot')) {
        reader.yes('cannot');
        return [{ kind: 'cannot' }];
      }
      reader.yes('done');
      return [{ kind: 'done' }];
    case 'hold':
    case 'wait':
      reader.yes('done');
      return [{ kind: 'done' }];
    case 'plate-time': {
      const isNone = reader.has('plateMinutes') && reader.isNull('plateMinutes');
      const minutes = isNone ? null : reader.number('plateMinutes');
      reader.yes('done');
      return [{ kind: 'plate-time', minutes }, { kind: 'done' }];
    }
    case 'measure': {
      const { between, proveMeter } = asked.step.measure;
      const proved = (name: string): Said[] =>
        proveMeter ? [{ kind: 'meter', good: reader.truth(name) }] : [];
      const before = proved('meterBefore');
      const readings = reader.list('readings', Math.max(1, between.length), (one, index) =>
        one.number(index),
      );
      const after = proved('meterAfter');
      return [
        ...before,
        ...readings.map((text): Said => ({ kind: 'reading', text })),
        ...after,
        { kind: 'readings', taken: true },
      ];
    }
    case 'watch':
      if (reader.has('unlisted')) {
        reader.yes('unlisted');
        return [{ kind: 'unlisted' }];
      }
      if (reader.has('late')) {
        reader.yes('late');
        return [{ kind: 'time-up' }];
      }
      return [{ kind: 'lights', pattern: reader.text('lights') }];
    case 'read':
      if (!reader.has('unreadable')) return [{ kind: 'version', version: reader.text('version') }];
      reader.yes('unreadable');
      return [{ kind: 'unreadable' }];
    case 'sign': {
      const signs = reader.list('serves', asked.count - asked.index, (one, index) => one.truth(index));
      // The first that is not seen decides; those after it are not asked.
      const not = signs.indexOf(false);
      return signs.slice(0, not < 0 ? undefined : not + 1).map((seen): Said => ({ kind: 'sign', seen }));
    }
    case 'restore': {
      const { resets } = texts.release;
      return reader
        .mapping('values', resets.slice(asked.index), (one, key) => one.truth(key))
        .map((restored): Said => ({ kind: 'restored', restored }));
    }
    case 'position':
      return reader
        .mapping('positions', asked.names, (one, key) => one.text(key))
        .map((state): Said => ({ kind: 'position', state }));
    case 'left':
      return [{ kind: 'left', left: reader.oneOf('left', asked.choices) }];
    case 'cause':
      return [{ kind: 'cause', cause: reader.oneOf('cause', asked.choices) }];
    case 'reason':
      return [{ kind: 'reason', reason: reader.oneOf('reason', asked.choices) }];
    case 'case':
      return [{ kind: 'case', number: reader.textOrNull('number') }];
    case 'told':
      return [{ kind: 'told', name: reader.textOrNull('name') }];
    case 'stopped': {
      const choice = reader.oneOf('choice', ['go-on', 'break-off', 'failed', 'deferred']);
      return [
        choice === 'failed' || choice === 'deferred'
          ? { kind: 'end-here', outcome: choice }
          : { kind: choice },
      ];
    }
    case 'nothing':
      throw new RangeError(`nothing is asked at ${step?.id ?? 'the end'}`);
  }
}

/** A right answer, as an example. */
export function exampleOf(question: WalkQuestion): string {
  const { key, value } = nameOf(question);
  return JSON.stringify({ [key]: value, ...exampleFields(question) });
}

function exampleFields({ asked }: WalkQuestion): Record<string, unknown> {
  const each = <T>(names: readonly string[], text: T): Record<string, T> =>
    Object.fromEntries(names.map((name) => [name, text]));
  switch (asked.kind) {
    case 'caution':
      return { read: true };
    case 'card':
      return { card: 'NAME', path: 'CARD or null' };
    case 'plate':
      return { lastFour: '1234', revision: 'B' };
    case 'version-before':
      return { version: '4.0.0' };
    case 'lead':
      return { goOn: true, name: 'NAME' };
    case 'settings':
      return { values: each(asked.settings, 'VALUE') };
    case 'starts':
      return { asSaid: true };
    case 'do':
    case 'hold':
    case 'wait':
      return { done: true };
    case 'plate-time':
      return { plateMinutes: null, done: true };
    case 'measure': {
      const { between, proveMeter } = asked.step.measure;
      const readings = Array.from({ length: Math.max(1, between.length) }, () => 0.4);
      return proveMeter ? { meterBefore: true, readings, meterAfter: true } : { readings };
    }
    case 'watch':
      return { lights: asked.patterns.map(({ pattern }) => pattern.id).join('|') };
    case 'read':
      return { version: '4.2.0' };
    case 'sign':
      return { serves: Array.from({ length: asked.count - asked.index }, () => true) };
    case 'restore':
      return { values: { [asked.setting]: true } };
    case 'position':
      return { positions: { [asked.name]: asked.states.join('|') } };
    case 'left':
    case 'cause':
    case 'reason':
      return { [asked.kind]: asked.choices.join('|') };
    case 'case':
      return { number: null };
    case 'told':
      return { name: 'NAME or null' };
    case 'stopped':
      return { choice: ['go-on', 'break-off', ...asked.outcomes].join('|') };
    case 'nothing':
      return {};
  }
}
