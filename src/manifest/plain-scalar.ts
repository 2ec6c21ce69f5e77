// A scalar that stands unquoted in a manifest and that YAML takes for a number, a truth value or nothing.
// It carries both readings, because only the schema knows which one is wanted: where text is expected,
// `4.10` and `no` stay as they were written. Does not judge anything.

export class PlainScalar {
  /** As written in the file. */
  readonly text: string;
  /** As YAML 1.2 (core schema) understands it. */
  readonly value: number | boolean | null;

  constructor(text: string, value: number | boolean | null) {
    this.text = text;
    this.value = value;
  }
}

export function asText(input: unknown): unknown {
  return input instanceof PlainScalar ? input.text : input;
}

export function asValue(input: unknown): unknown {
  return input instanceof PlainScalar ? input.value : input;
}
