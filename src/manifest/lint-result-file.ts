// The structural rules of a product's result file: what the unit writes on its card, and the pattern by which it is
// read. The pattern is compiled as it will be used: linear in time, and small enough to be quick. Reads no such file.

import { RE2JS } from 're2js';
import { printable } from '../words/printable.ts';
import { type Fault, stop, twins } from './fault.ts';
import type { Product, ResultFile } from './schema.ts';
import { isPlainShortName } from './short-name.ts';

/** The groups that mean something; the first two must be there. */
const groups = ['serial', 'status', 'version'] as const;
/** Of the compiled pattern, in instructions: time goes by this times the length of the text. */
export const maxPatternSize = 1000;

export function lintResultFile({ resultFile, card }: Product): Fault[] {
  if (resultFile === undefined) return [];
  const words = [...resultFile.updated, ...resultFile.failed];
  const faults = [
    ...lintNames(resultFile),
    ...lintPattern(resultFile),
    ...twins(
      words,
      (i) => {
        const { length } = resultFile.updated;
        return i < length ? ['resultFile', 'updated', i] : ['resultFile', 'failed', i - length];
      },
      'status words',
    ),
  ];
  if (card.afterUse !== 'unchanged') return faults;
  return [
    ...faults,
    {
      code: 'result-file-unwritten',
      severity: 'warn',
      path: ['card', 'afterUse'],
      summary: 'The unit leaves a result file on its card, but is said to leave the card unchanged.',
      seen: 'afterUse: unchanged',
      expected: 'writes, renames or consumes',
      next: 'Correct afterUse, or remove resultFile.',
    },
  ];
}

function lintNames({ name, folder }: ResultFile): Fault[] {
  const long = [
    ...folder
      .split('/')
      .filter((part) => part !== '')
      .map((part) => ({ key: 'folder', part })),
    { key: 'name', part: name },
  ].filter(({ part }) => !isPlainShortName(part));
  return long.map(({ key, part }) =>
    stop('schema', ['resultFile', key], 'Units write plain upper-case 8.3 names, and this is none.', {
      seen: printable(part, 60),
      expected: 'at most eight characters, a dot, at most three: RESULT.TXT',
      next: "Give it as the maker's document does.",
    }),
  );
}

function lintPattern({ pattern }: ResultFile): Fault[] {
  const path = ['resultFile', 'pattern'];
  let compiled: RE2JS;
  try {
    compiled = RE2JS.compile(pattern);
  } catch (error) {
    return [
      stop('schema', path, 'The pattern of the result file is not one that can be used.', {
        seen: printable(error instanceof Error ? error.message : String(error), 160),
        expected: 'a regular expression in RE2 syntax: no look-around, no back-references',
        next: 'Correct the pattern.',
      }),
    ];
  }
  const faults: Fault[] = [];
  if (compiled.programSize() > maxPatternSize) {
    faults.push(
      stop('schema', path, 'The pattern of the result file is too large to be searched quickly.', {
        seen: `${compiled.programSize()} instructions`,
        expected: `${maxPatternSize} at most`,
        next: 'Use smaller counts, such as [0-9]+ in place of [0-9]{0,900}.',
      }),
    );
  }
  const named = Object.keys(compiled.namedGroups());
  for (const wanted of ['serial', 'status']) {
    if (named.includes(wanted)) continue;
    faults.push(
      stop('schema', path, `The pattern of the result file has no group '${wanted}'.`, {
        seen: named.length === 0 ? 'no named group' : named.map((name) => printable(name, 40)).join(', '),
        expected: `(?<${wanted}>…)`,
        next: `Put a named group around the ${wanted}.`,
      }),
    );
  }
  for (const name of named) {
    if ((groups as readonly string[]).includes(name)) continue;
    faults.push(
      stop('unknown-name', path, `The pattern of the result file has a group that means nothing here.`, {
        seen: printable(name, 40),
        expected: `one of: ${groups.join(', ')}`,
        next: 'Rename the group, or make it (?:…).',
      }),
    );
  }
  return faults;
}
