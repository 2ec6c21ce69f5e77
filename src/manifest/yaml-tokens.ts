// Looks over the tokens of a YAML text, before values are made of them, for what manifests do without:
// anchors, aliases, tags, directives, second documents, and nesting so deep that it can only be mischief.
// Walks with a stack of its own, so that no text can exhaust the call stack.

import type { CST } from 'yaml';
import type { Fault } from './fault.ts';

/** A fault whose place is an offset in the text rather than a path. */
export interface PlacedFault extends Omit<Fault, 'path' | 'atKey'> {
  readonly offset: number;
  /** Where the same key stood first. */
  readonly earlierOffset?: number;
  /** Nothing more can be read. */
  readonly fatal?: boolean;
}

/** More are no help to anybody. */
export const maxFaults = 200;

interface Visit {
  readonly token: CST.Token;
  readonly depth: number;
}

export function checkTokens(tokens: readonly CST.Token[], maxDepth: number): PlacedFault[] {
  const faults: PlacedFault[] = [];
  const waiting: Visit[] = [];
  let documents = 0;
  let tooDeep = false;
  for (const token of tokens) {
    if (token.type === 'document') {
      documents += 1;
      if (documents === 2) faults.push(secondDocument(token.offset));
    }
    waiting.push({ token, depth: 0 });
  }
  // From the end, so that faults come out in the order of the text.
  waiting.reverse();
  for (let visit = waiting.pop(); visit !== undefined; visit = waiting.pop()) {
    const { token, depth } = visit;
    const fault = faultOf(token);
    if (fault !== undefined && faults.length < maxFaults) faults.push(fault);
    if (depth > maxDepth) {
      if (!tooDeep) faults.push(nestedTooDeep(token.offset));
      tooDeep = true;
      continue;
    }
    const inner = innerTokens(token);
    for (let i = inner.length - 1; i >= 0; i--) {
      const next = inner[i]!;
      waiting.push({ token: next, depth: depth + (isCollection(next) ? 1 : 0) });
    }
  }
  return faults;
}

function isCollection(token: CST.Token): boolean {
  return token.type === 'block-map' || token.type === 'block-seq' || token.type === 'flow-collection';
}

function innerTokens(token: CST.Token): CST.Token[] {
  const inner: CST.Token[] = [];
  const take = (part: CST.Token | readonly CST.Token[] | null | undefined) => {
    // One by one: spread into the call, a hostile number of tokens would exhaust the stack.
    if (Array.isArray(part)) for (const token of part as readonly CST.Token[]) inner.push(token);
    else if (part) inner.push(part as CST.Token);
  };
  switch (token.type) {
    case 'document':
      take(token.start);
      take(token.value);
      break;
    case 'block-scalar':
      take(token.props);
      break;
    case 'block-map':
    case 'block-seq':
    case 'flow-collection':
      for (const item of token.items) {
        take(item.start);
        take(item.key);
        take(item.sep);
        take(item.value);
      }
      break;
    default:
  }
  return inner;
}

function faultOf(token: CST.Token): PlacedFault | undefined {
  switch (token.type) {
    case 'anchor':
      return notUsed(token, 'an anchor', 'Write the value out where it is needed.');
    case 'alias':
      return notUsed(token, 'an alias', 'Write the value out; text that begins with * goes in quotes.');
    case 'tag':
      return notUsed(token, 'a tag', 'Remove the tag; text that begins with ! goes in quotes.');
    case 'directive':
      if (/^%YAML[ \t]+1\.2[ \t]*$/.test(token.source)) return undefined;
      return notUsed(token, 'a directive', 'Remove the line.');
    default:
      return undefined;
  }
}

function notUsed(token: { offset: number; source: string }, what: string, next: string): PlacedFault {
  return {
    code: 'schema',
    severity: 'stop',
    offset: token.offset,
    summary: `Here stands ${what}, which manifests do not use.`,
    seen: token.source.slice(0, 60),
    expected: 'the value itself',
    next,
  };
}

function secondDocument(offset: number): PlacedFault {
  return {
    code: 'schema',
    severity: 'stop',
    offset,
    summary: 'A second document begins here.',
    expected: 'one manifest a file',
    next: 'Put it in a file of its own.',
  };
}

function nestedTooDeep(offset: number): PlacedFault {
  return {
    code: 'schema',
    severity: 'stop',
    offset,
    fatal: true,
    summary: 'Lists and mappings lie too deep within each other.',
    expected: 'the nesting that a manifest needs, well below this',
    next: 'Check brackets and indentation here.',
  };
}
