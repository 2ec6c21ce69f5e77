// The person at the terminal. Questions show their default and how to leave; without a terminal, or with
// --no-input, each of them throws a Failure (exit 2) that names the option to give instead.

export interface Choice<T> {
  readonly value: T;
  readonly label: string;
}

/** A choice by one key: a letter, a figure, or `Enter`. */
export interface KeyChoice<T> extends Choice<T> {
  readonly key: string;
}

/** A line that is drawn anew while a key is waited for: a countdown, a stopwatch. */
export interface RunningLine<T> {
  line(nowMs: number): string;
  /** From this instant on it answers by itself, with a sound. */
  readonly over?: { readonly atMs: number; readonly value: T };
}

export interface Progress {
  /** `done` of `total` in bytes or steps; prints phase, rate and time left, seldom enough not to cost time. */
  at(done: number, total: number): void;
  end(): void;
}

/** A few lines that are drawn over again where they stand. */
export interface LiveLines {
  /** Each is cut to the width, so that a line is a line. */
  show(lines: readonly string[]): void;
  /** What was shown last stays. */
  end(): void;
}

export interface Terminal {
  readonly interactive: boolean;
  readonly columns: number;
  readonly colour: boolean;
  /** A line on standard error: what the tool does on the way, never a result. */
  notice(line: string): void;
  progress(phase: string, unit: 'bytes' | 'steps'): Progress;
  /** On standard error. Absent where that is no terminal on which lines can be drawn over. */
  readonly live?: (() => LiveLines) | undefined;
  choose<T>(question: string, choices: readonly Choice<T>[], option: string): Promise<T>;
  text(question: string, option: string, suggestion?: string): Promise<string>;
  /** One key; the choices are shown under what was said before. Keys pressed too soon do not count. */
  key<T>(choices: readonly KeyChoice<T>[], option: string, running?: RunningLine<T>): Promise<T>;
  /** Yes only where the person says so; the default is no. */
  confirm(question: string, option: string): Promise<boolean>;
}
