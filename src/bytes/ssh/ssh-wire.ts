// The data types of SSH on the wire (RFC 4251, section 5), as far as keys and signatures need them: strings, numbers of
// four bytes, and mpints that are not negative. Every length is measured against what is left; nothing is believed.

/** What makes a key or a signature none: one sentence for a person. */
export class SshFault extends Error {
  constructor(summary: string) {
    super(summary);
    this.name = 'SshFault';
  }
}

/** Reads from the front; throws SshFault where the bytes end too soon. */
export class SshReader {
  readonly #bytes: Uint8Array;
  #at = 0;

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes;
  }

  take(lengthBytes: number): Uint8Array {
    if (lengthBytes > this.#bytes.length - this.#at) throw new SshFault('It is cut short.');
    this.#at += lengthBytes;
    return this.#bytes.subarray(this.#at - lengthBytes, this.#at);
  }

  number(): number {
    const [a = 0, b = 0, c = 0, d = 0] = this.take(4);
    return a * 2 ** 24 + b * 2 ** 16 + c * 2 ** 8 + d;
  }

  string(): Uint8Array {
    return this.take(this.number());
  }

  /** Of ASCII without control characters: names of kinds, never free text. */
  name(): string {
    const bytes = this.string();
    if (bytes.length > 256 || bytes.some((byte) => byte < 0x20 || byte > 0x7e))
      throw new SshFault('A name in it is none.');
    return String.fromCharCode(...bytes);
  }

  /** The magnitude, most significant byte first, without leading zeros; a negative or lengthened one is refused. */
  mpint(): Uint8Array {
    const bytes = this.string();
    const [first = 0, second = 0] = bytes;
    if (first >= 0x80) throw new SshFault('A number in it is negative.');
    if (bytes.length > 0 && first === 0 && second < 0x80)
      throw new SshFault('A number in it is not minimal.');
    return first === 0 ? bytes.subarray(1) : bytes;
  }

  rest(): Uint8Array {
    return this.take(this.#bytes.length - this.#at);
  }

  requireEnd(): void {
    if (this.#at !== this.#bytes.length) throw new SshFault('Something follows its end.');
  }
}

const encoder = new TextEncoder();

export function joinBytes(...parts: readonly Uint8Array[]): Uint8Array {
  const joined = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    joined.set(part, at);
    at += part.length;
  }
  return joined;
}

export function encodeSshNumber(value: number): Uint8Array {
  return Uint8Array.of(value >>> 24, (value >>> 16) & 0xff, (value >>> 8) & 0xff, value & 0xff);
}

export function encodeSshString(content: string | Uint8Array): Uint8Array {
  const bytes = typeof content === 'string' ? encoder.encode(content) : content;
  return joinBytes(encodeSshNumber(bytes.length), bytes);
}

/** Of a magnitude with or without leading zeros. */
export function encodeSshMpint(magnitude: Uint8Array): Uint8Array {
  const short = withoutLeadingZeros(magnitude);
  return encodeSshString((short[0] ?? 0) >= 0x80 ? joinBytes(Uint8Array.of(0), short) : short);
}

function withoutLeadingZeros(bytes: Uint8Array): Uint8Array {
  const first = bytes.findIndex((byte) => byte !== 0);
  return first < 0 ? new Uint8Array(0) : bytes.subarray(first);
}

/** Zeros before it up to the length; SshFault where it is longer. */
export function leftPadded(magnitude: Uint8Array, lengthBytes: number): Uint8Array {
  if (magnitude.length > lengthBytes) throw new SshFault('A number in it is too large.');
  return joinBytes(new Uint8Array(lengthBytes - magnitude.length), magnitude);
}

/** Strict base64 with its padding, in one spelling; undefined where it is anything else. */
export function decodeBase64(text: string): Uint8Array | undefined {
  if (text.length % 4 !== 0 || !/^[A-Za-z0-9+/]*={0,2}$/.test(text)) return undefined;
  const bytes = Buffer.from(text, 'base64');
  return bytes.toString('base64') === text ? bytes : undefined;
}

export function encodeBase64(bytes: Uint8Array): string {
  return Buffer.from(bytes).toString('base64');
}
