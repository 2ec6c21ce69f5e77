// One line of a file of answers: JSON, an object, its fields exactly those of the question it is for. Everything
// else is refused with the line, what was seen and what was expected. Decides nothing about the walk.

import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';

export type AnswerFields = Readonly<Record<string, unknown>>;

export interface AnswerLine {
  readonly line: number;
  readonly fields: AnswerFields;
}

/** `file:line` */
export function placeOf(path: string, { line }: { readonly line: number }): string {
  return `${path}:${line}`;
}

const mostLines = 5000;

/** Blank lines are left out, their numbers counted. */
export function decodeAnswerLines(content: string, path: string): AnswerLine[] {
  const lines = content.replace(/^\ufeff/, '').split(/\r?\n/);
  if (lines.length > mostLines) {
    throw answerFailure('answer-form', path, `There are more than ${mostLines} lines of answers.`);
  }
  return lines.flatMap((text, index): AnswerLine[] => {
    if (text.trim() === '') return [];
    const where = placeOf(path, { line: index + 1 });
    let value: unknown;
    try {
      value = JSON.parse(text);
    } catch {
      throw answerFailure('answer-form', where, 'This line is no JSON.', { seen: text });
    }
    if (typeof value !== 'object' || value === null || Array.isArray(value)) {
      throw answerFailure('answer-form', where, 'An answer is a JSON object, one on each line.', {
        seen: text,
      });
    }
    return [{ line: index + 1, fields: value as AnswerFields }];
  });
}

export function answerFailure(
  code: string,
  where: string,
  summary: string,
  facts: { readonly seen?: string; readonly expected?: string } = {},
): Failure {
  return new Failure({
    code,
    exit: 2,
    summary,
    ...(facts.seen === undefined ? {} : { seen: printable(facts.seen, 300) }),
    ...(facts.expected === undefined ? {} : { expected: printable(facts.expected, 600) }),
    where,
    next: 'Mend the answers. What was logged until here stays, and the same command goes on from it: identity, positions and measurements are asked anew first.',
  });
}

/** Reads fields one by one; `done` refuses those that nobody asked for. */
export class FieldReader {
  readonly #fields: AnswerFields;
  readonly #where: string;
  readonly #expected: string;
  readonly #read = new Set<string>();

  constructor(fields: AnswerFields, where: string, expected: string) {
    this.#fields = fields;
    this.#where = where;
    this.#expected = expected;
  }

  has(name: string): boolean {
    return Object.hasOwn(this.#fields, name);
  }

  text(name: string, longest = 200): string {
    const value = this.#take(name);
    if (typeof value === 'string' && value.length <= longest) return value;
    throw this.#wrong(name, `a text of at most ${longest} characters`);
  }

  /** As text: what a person would have typed. */
  number(name: string): string {
    const value = this.#take(name);
    // Six places, so that a number of JSON, which can mean one thing only, is never taken for grouped thousands.
    if (typeof value === 'number' && Number.isFinite(value)) return value.toFixed(6);
    if (typeof value === 'string' && value.length <= 40) return value;
    throw this.#wrong(name, 'a number, or a text such as "-1,2"');
  }

  isNull(name: string): boolean {
    if (this.#fields[name] !== null) return false;
    this.#read.add(name);
    return true;
  }

  textOrNull(name: string): string | null {
    if (this.#fields[name] !== null) return this.text(name);
    this.#take(name);
    return null;
  }

  truth(name: string): boolean {
    const value = this.#take(name);
    if (typeof value === 'boolean') return value;
    throw this.#wrong(name, 'true or false');
  }

  /** Present and true: there is no other way to say it. */
  yes(name: string): void {
    if (this.#take(name) !== true) throw this.#wrong(name, 'true');
  }

  oneOf<T extends string>(name: string, values: readonly T[]): T {
    const value = this.#take(name);
    const found = values.find((one) => one === value);
    if (found !== undefined) return found;
    throw this.#wrong(name, values.join(', '));
  }

  list<T>(name: string, count: number, read: (reader: FieldReader, index: string) => T): T[] {
    const value = this.#take(name);
    if (!Array.isArray(value) || value.length !== count) throw this.#wrong(name, `a list of ${count}`);
    return value.map((one, index) =>
      read(new FieldReader({ [String(index)]: one }, this.#where, this.#expected), String(index)),
    );
  }

  /** By exactly these names. */
  mapping<T>(name: string, names: readonly string[], read: (reader: FieldReader, key: string) => T): T[] {
    const value = this.#take(name);
    const isMapping = typeof value === 'object' && value !== null && !Array.isArray(value);
    if (!isMapping) throw this.#wrong(name, `a value for each of: ${names.join(', ')}`);
    const inner = new FieldReader(value as AnswerFields, this.#where, this.#expected);
    const values = names.map((key) => read(inner, key));
    inner.done();
    return values;
  }

  done(): void {
    const unknown = Object.keys(this.#fields).find((name) => !this.#read.has(name));
    if (unknown === undefined) return;
    throw answerFailure(
      'answer-form',
      this.#where,
      `This answer has a field that was not asked for: ${printable(unknown, 60)}.`,
      {
        seen: JSON.stringify(this.#fields),
        expected: this.#expected,
      },
    );
  }

  #take(name: string): unknown {
    this.#read.add(name);
    if (this.has(name)) return this.#fields[name];
    throw answerFailure('answer-form', this.#where, `This answer lacks ${printable(name, 60)}.`, {
      seen: JSON.stringify(this.#fields),
      expected: this.#expected,
    });
  }

  #wrong(name: string, expected: string): Failure {
    return answerFailure('answer-form', this.#where, `${printable(name, 60)} is not as it was asked for.`, {
      seen: JSON.stringify(this.#fields[name]),
      expected,
    });
  }
}
