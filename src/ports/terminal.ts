// The person at the terminal. Questions show their default and how to leave; without a terminal, or with
// --no-input, each of them throws a Failure (exit 2) that names the option to give instead.

export interface Choice<T> {
  readonly value: T;
  readonly label: string;
}

export interface Progress {
  /** `done` of `total` in bytes or steps; prints phase, rate and time left, seldom enough not to cost time. */
  at(done: number, total: number): void;
  end(): void;
}

export interface Terminal {
  readonly interactive: boolean;
  readonly columns: number;
  readonly colour: boolean;
  /** A line on standard error: what the tool does on the way, never a result. */
  notice(line: string): void;
  progress(phase: string, unit: 'bytes' | 'steps'): Progress;
  choose<T>(question: string, choices: readonly Choice<T>[], option: string): Promise<T>;
  text(question: string, option: string, suggestion?: string): Promise<string>;
  /** Yes only where the person says so; the default is no. */
  confirm(question: string, option: string): Promise<boolean>;
}
