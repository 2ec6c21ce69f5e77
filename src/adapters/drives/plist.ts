// Reads an XML property list, as macOS' tools print it: dictionaries, lists, texts, numbers, flags. Dates and data stay
// texts. No document type, entity or nesting of a stranger's choice is followed.

export type PlistValue =
  | string
  | number
  | boolean
  | readonly PlistValue[]
  | { readonly [name: string]: PlistValue };

const maxDepth = 32;
const maxTokens = 200_000;

const entities: Readonly<Record<string, string>> = { amp: '&', lt: '<', gt: '>', quot: '"', apos: "'" };

function plain(escaped: string): string {
  return escaped.replace(/&(?:#(\d{1,7})|#x([0-9a-f]{1,6})|(\w{1,4}));/gi, (all, decimal, hex, name) => {
    if (name !== undefined) return entities[name] ?? all;
    const code = decimal === undefined ? Number.parseInt(hex, 16) : Number(decimal);
    return code > 0 && code <= 0x10ffff ? String.fromCodePoint(code) : '';
  });
}

interface Token {
  readonly tag: string;
  readonly kind: 'open' | 'close' | 'empty';
  /** What stands between an opening tag and the next tag. */
  readonly text: string;
}

function tokensOf(xml: string): Token[] {
  const found: Token[] = [];
  const pattern = /<(\/?)([a-z]+)(?:\s[^<>]*?)?(\/?)>([^<]*)/gi;
  const body = xml.replace(/<!--[\s\S]*?-->|<\?[\s\S]*?\?>|<!DOCTYPE[^>]*>/g, '');
  for (const [, close, tag = '', empty, text = ''] of body.matchAll(pattern)) {
    if (found.length >= maxTokens) throw new SyntaxError('too long a property list');
    found.push({ tag, kind: close === '/' ? 'close' : empty === '/' ? 'empty' : 'open', text: plain(text) });
  }
  return found;
}

class PlistReader {
  readonly #tokens: readonly Token[];
  #at = 0;

  constructor(xml: string) {
    this.#tokens = tokensOf(xml);
  }

  #next(): Token {
    const token = this.#tokens[this.#at++];
    if (token === undefined) throw new SyntaxError('the property list ends early');
    return token;
  }

  #isClosed(tag: string): boolean {
    const token = this.#tokens[this.#at];
    if (token?.kind !== 'close') return false;
    if (token.tag !== tag) throw new SyntaxError(`</${token.tag}> closes <${tag}>`);
    this.#at++;
    return true;
  }

  document(): PlistValue {
    const first = this.#next();
    if (first.tag !== 'plist' || first.kind !== 'open') throw new SyntaxError('no property list');
    return this.#value(this.#next(), 0);
  }

  #value(token: Token, depth: number): PlistValue {
    if (depth > maxDepth) throw new SyntaxError('too deep a property list');
    const { tag, kind, text } = token;
    if (kind === 'close') throw new SyntaxError(`</${tag}> closes nothing`);
    const isEmpty = kind === 'empty';
    if (tag === 'true' || tag === 'false') {
      if (!isEmpty) this.#requireClosed(tag);
      return tag === 'true';
    }
    if (tag === 'array') return isEmpty ? [] : this.#array(depth);
    if (tag === 'dict') return isEmpty ? {} : this.#dict(depth);
    if (!isEmpty) this.#requireClosed(tag);
    if (tag === 'integer' || tag === 'real') {
      const value = Number(text.trim());
      if (text.trim() === '' || !Number.isFinite(value)) throw new SyntaxError(`no number: ${text}`);
      return value;
    }
    if (tag === 'string' || tag === 'data' || tag === 'date') return isEmpty ? '' : text;
    throw new SyntaxError(`<${tag}> is unknown`);
  }

  #requireClosed(tag: string): void {
    if (!this.#isClosed(tag)) throw new SyntaxError(`<${tag}> is not closed`);
  }

  #array(depth: number): PlistValue[] {
    const values: PlistValue[] = [];
    while (!this.#isClosed('array')) values.push(this.#value(this.#next(), depth + 1));
    return values;
  }

  #dict(depth: number): Record<string, PlistValue> {
    const values: Record<string, PlistValue> = Object.create(null);
    while (!this.#isClosed('dict')) {
      const key = this.#next();
      if (key.tag !== 'key' || key.kind !== 'open') throw new SyntaxError('a value without a key');
      this.#requireClosed('key');
      values[key.text] = this.#value(this.#next(), depth + 1);
    }
    return values;
  }
}

/** SyntaxError where this is no property list. */
export function readPlist(xml: string): PlistValue {
  return new PlistReader(xml).document();
}
