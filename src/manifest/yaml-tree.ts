// Reads the text of a manifest as YAML 1.2, strictly: no anchors, aliases, tags, duplicate keys, second
// documents; bounded in size and depth. Gives plain values (scalars that YAML takes for numbers keep both
// readings) and the place of each, so that later faults can name line and column. Knows nothing of manifests.

import {
  Composer,
  isMap,
  isScalar,
  isSeq,
  LineCounter,
  type ParsedNode,
  Parser,
  type Scalar,
  type YAMLMap,
} from 'yaml';
import { printable } from '../words/printable.ts';
import type { Fault, Path } from './fault.ts';
import { PlainScalar } from './plain-scalar.ts';
import { yamlError } from './yaml-error.ts';
import { checkTokens, maxFaults, type PlacedFault } from './yaml-tokens.ts';

const maxDepth = 24;

export interface YamlTree {
  /** undefined where the text could not be read at all. */
  readonly value: unknown;
  readonly faults: readonly PlacedFault[];
  /** Already told to be wrong: whatever is said of these places or below would be an echo. */
  readonly spoilt: readonly Path[];
  /** `12:3` of the value at the path, or of its key; of the nearest place around it where there is no such. */
  lineAndColumn(path: Path, atKey: boolean): string;
  /** Line and column of an offset in the text. */
  at(offset: number): string;
  /** How the value is written, for people. */
  seen(path: Path): string;
  has(path: Path): boolean;
}

interface Place {
  keyOffset: number;
  offset: number;
  seen: string;
  children: Map<string | number, Place>;
}

export function decodeYaml(source: string): YamlTree {
  const text = source.startsWith('\ufeff') ? source.slice(1) : source;
  const lines = new LineCounter();
  const tokens = [...new Parser(lines.addNewLine).parse(text)];
  const faults: PlacedFault[] = checkTokens(tokens, maxDepth);
  const root: Place = { keyOffset: 0, offset: 0, seen: 'nothing', children: new Map() };
  const spoilt: Path[] = [];
  let value: unknown;

  // A text nested too deep is not composed: that would go as deep itself.
  if (!faults.some((fault) => fault.fatal)) {
    const composed = compose(tokens, text.length);
    faults.push(...composed.faults);
    if (composed.faults.length === 0)
      value = new TreeBuilder(faults, spoilt).build(composed.contents, root, []);
  }

  const at = (offset: number) => {
    const { line, col } = lines.linePos(Math.min(offset, text.length));
    return `${Math.max(line, 1)}:${Math.max(col, 1)}`;
  };
  const find = (path: Path): { place: Place; whole: boolean } => {
    let place = root;
    for (const part of path) {
      const child = place.children.get(part);
      if (child === undefined) return { place, whole: false };
      place = child;
    }
    return { place, whole: true };
  };
  return {
    value,
    faults,
    spoilt,
    at,
    lineAndColumn(path, atKey) {
      const { place, whole } = find(path);
      // What is missing is told at the key of the mapping that should hold it.
      return at(atKey || !whole ? place.keyOffset : place.offset);
    },
    seen(path) {
      const { place, whole } = find(path);
      return whole ? place.seen : 'nothing';
    },
    has: (path) => find(path).whole,
  };
}

function compose(tokens: Iterable<Parameters<Composer['next']>[0]>, endOffset: number) {
  const composer = new Composer({
    version: '1.2',
    schema: 'core',
    merge: false,
    // Told apart by ourselves, with both places.
    uniqueKeys: false,
    strict: true,
    prettyErrors: false,
    logLevel: 'silent',
  });
  const faults: PlacedFault[] = [];
  let contents: ParsedNode | null = null;
  let first = true;
  for (const document of composer.compose(tokens, true, endOffset)) {
    for (const error of document.errors) if (faults.length < maxFaults) faults.push(yamlError(error));
    if (first) contents = document.contents as ParsedNode | null;
    first = false;
  }
  return { contents, faults };
}

class TreeBuilder {
  private readonly faults: PlacedFault[];
  private readonly spoilt: Path[];

  constructor(faults: PlacedFault[], spoilt: Path[]) {
    this.faults = faults;
    this.spoilt = spoilt;
  }

  build(node: ParsedNode | null, place: Place, path: Path): unknown {
    if (node?.range) place.offset = node.range[0];
    if (node === null) return this.nothing(place);
    if (isScalar(node)) return this.scalar(node, place);
    if (isSeq(node)) {
      place.seen = `a list of ${node.items.length}`;
      return node.items.map((item, index) => {
        const offset = (item as ParsedNode | null)?.range?.[0] ?? place.offset;
        const child = newPlace(offset);
        place.children.set(index, child);
        return this.build(item as ParsedNode | null, child, [...path, index]);
      });
    }
    if (isMap(node)) return this.mapping(node as YAMLMap.Parsed, place, path);
    // An alias: its token has been told already.
    this.spoilt.push(path);
    return this.nothing(place);
  }

  private nothing(place: Place): unknown {
    place.seen = 'nothing';
    return new PlainScalar('', null);
  }

  private scalar(node: Scalar, place: Place): unknown {
    const { value } = node;
    if (node.type !== 'PLAIN') {
      const text = String(value);
      place.seen = `'${printable(text, 60)}'`;
      return text;
    }
    const written = node.source ?? '';
    place.seen = written === '' ? 'nothing' : printable(written, 60);
    if (typeof value === 'number' || typeof value === 'boolean' || value === null)
      return new PlainScalar(written, value);
    return String(value);
  }

  private mapping(node: YAMLMap.Parsed, place: Place, path: Path): unknown {
    const made: Record<string, unknown> = Object.create(null);
    place.seen = node.items.length === 0 ? 'an empty mapping' : 'a mapping';
    for (const pair of node.items) {
      const key = pair.key as ParsedNode | null;
      const offset = key?.range?.[0] ?? place.offset;
      if (!isScalar(key) || key.source === '' || String(key.value) === '__proto__') {
        if (!isAliasLike(key)) this.faults.push(badKey(offset));
        continue;
      }
      const name = key.type === 'PLAIN' ? (key.source ?? '') : String(key.value);
      const earlier = place.children.get(name);
      if (earlier !== undefined) {
        this.faults.push({ ...duplicateKey(name), offset, earlierOffset: earlier.keyOffset });
        continue;
      }
      const child = newPlace(offset);
      place.children.set(name, child);
      made[name] = this.build(pair.value as ParsedNode | null, child, [...path, name]);
    }
    return made;
  }
}

function newPlace(offset: number): Place {
  return { keyOffset: offset, offset, seen: 'nothing', children: new Map() };
}

function isAliasLike(node: ParsedNode | null): boolean {
  return node !== null && !isScalar(node) && !isMap(node) && !isSeq(node);
}

function badKey(offset: number): PlacedFault {
  return {
    code: 'schema',
    severity: 'stop',
    offset,
    summary: 'A key must be plain text.',
    expected: 'a key such as name',
    next: 'Put text before the colon.',
  };
}

function duplicateKey(name: string): Omit<Fault, 'path'> {
  return {
    code: 'duplicate-key',
    severity: 'stop',
    summary: `The key '${printable(name, 60)}' stands twice in one mapping.`,
    seen: printable(name, 60),
    expected: 'each key once',
    next: 'Remove one of them, or rename it.',
  };
}
