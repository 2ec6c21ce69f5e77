// Lines of bytes out of chunks, one at a time and of bounded length. Knows nothing of what stands in them.

export interface Line {
  /** Without the line feed; valid until the next line is asked for. */
  readonly bytes: Uint8Array;
  /** false: the last one, and the file ends without a line feed. */
  readonly isEnded: boolean;
}

export class LineTooLong extends Error {}

const lineFeed = 0x0a;

/** `chunks` may use their memory again. A line of more than `maxBytes` throws LineTooLong before it is held. */
export function* linesOf(chunks: Iterable<Uint8Array>, maxBytes: number): Generator<Line> {
  let rest: Uint8Array[] = [];
  let restBytes = 0;
  const hold = (part: Uint8Array) => {
    if (restBytes + part.length > maxBytes) throw new LineTooLong(`a line of more than ${maxBytes} bytes`);
    rest.push(part);
    restBytes += part.length;
  };
  for (const chunk of chunks) {
    let from = 0;
    for (;;) {
      const at = chunk.indexOf(lineFeed, from);
      if (at < 0) break;
      const part = chunk.subarray(from, at);
      from = at + 1;
      hold(part);
      const bytes = rest.length === 1 ? part : joined(rest, restBytes);
      rest = [];
      restBytes = 0;
      yield { bytes, isEnded: true };
    }
    if (from < chunk.length) hold(chunk.slice(from));
  }
  if (restBytes > 0) yield { bytes: joined(rest, restBytes), isEnded: false };
}

function joined(parts: readonly Uint8Array[], length: number): Uint8Array {
  const whole = new Uint8Array(length);
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
