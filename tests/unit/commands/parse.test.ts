// The table of commands, the parser and the help texts must say the same.

import { describe, expect, test } from 'vitest';
import { parse } from '../../../src/commands/parse.ts';
import { commandTable } from '../../../src/commands/table.ts';
import { exitMeaning } from '../../../src/words/exit-code.ts';
import { Failure } from '../../../src/words/failure.ts';

function helpOf(argv: readonly string[], columns = 80): string {
  const parsed = parse(argv, columns);
  if (parsed.kind !== 'help') throw new Error(`no help for ${argv.join(' ')}`);
  return parsed.text;
}

function refusalOf(argv: readonly string[]): Failure['facts'] {
  try {
    parse(argv, 80);
  } catch (error) {
    if (error instanceof Failure) return error.facts;
    throw error;
  }
  throw new Error(`not refused: ${argv.join(' ')}`);
}

describe.each(commandTable.map((spec) => [spec.name, spec] as const))('%s', (name, spec) => {
  test('its help names every option, every exit code and an example that parses', () => {
    const help = helpOf([...name.split(' '), '--help']);
    for (const option of spec.options) expect(help).toContain(option.flags.split(' ')[0]);
    for (const code of [0, 2, ...spec.exits] as const) {
      expect(help).toMatch(new RegExp(`^ {2}${code} +${exitMeaning[code]}`, 'm'));
    }
    expect(spec.examples.length).toBeGreaterThan(0);
    for (const example of spec.examples) {
      const words = (example.match(/"[^"]*"|\S+/g) ?? []).map((word) => word.replaceAll('"', ''));
      expect(parse(words.slice(1), 80)).toMatchObject({ kind: 'run', command: name });
    }
  });

  test('is listed', () => {
    const group = name.split(' ')[0] ?? '';
    expect(helpOf(name.includes(' ') ? [group, '--help'] : ['--help'])).toContain(spec.summary.slice(0, 30));
  });
});

test('plain notes are broken where the window ends; what is to be typed stays as it is', () => {
  const wide = helpOf(['log', '--help'], 100);
  const narrow = helpOf(['log', '--help'], 60);
  const typed = '  {"row":1,"outcome":"updated","versionRead":"2.6.0","lights":"complete"}';
  expect(wide.split('\n')).toContain(typed);
  expect(narrow.split('\n')).toContain(typed);
  const note = (help: string) => /Also: [\s\S]*?changes no\s+status\./.exec(help)?.[0] ?? '';
  expect(note(narrow).replaceAll('\n', ' ')).toBe(note(wide).replaceAll('\n', ' '));
  expect(
    Math.max(
      ...note(narrow)
        .split('\n')
        .map((line) => line.length),
    ),
  ).toBeLessThanOrEqual(60);
  expect(note(narrow).split('\n').length).toBeGreaterThan(note(wide).split('\n').length);
});

test('no line of any help is wider than 80 columns', () => {
  const all = [['--help'], ...commandTable.map((spec) => [...spec.name.split(' '), '--help'])];
  for (const argv of all) {
    for (const line of helpOf(argv).split('\n')) expect(line.length, line).toBeLessThanOrEqual(80);
  }
});

test('an unknown command within a group leads to the help of the group', () => {
  expect(refusalOf(['units', 'nosuch'])).toMatchObject({
    code: 'unknown-command',
    next: 'See slotproof units --help.',
  });
  expect(refusalOf(['--as', 'R. Quill', 'record', 'nosuch']).next).toBe('See slotproof record --help.');
  expect(refusalOf(['nosuch', 'units']).next).toBe('See slotproof --help.');
});

test('the options that stand anywhere stand anywhere', () => {
  for (const argv of [
    ['--json', '--as', 'R. Quill', 'log', 'S1', 'updated'],
    ['log', '--json', 'S1', '--as', 'R. Quill', 'updated'],
    ['log', 'S1', 'updated', '--as', 'R. Quill', '--json'],
  ]) {
    expect(parse(argv, 80)).toMatchObject({
      kind: 'run',
      command: 'log',
      positionals: ['S1', 'updated'],
      globals: { json: true, as: 'R. Quill', input: true, color: true },
    });
  }
  expect(parse(['verify', 'f', '--no-input', '--no-color'], 80)).toMatchObject({
    globals: { input: false, color: false },
  });
});

test('the value of an option that stands anywhere is no command', () => {
  expect(parse(['--as', 'log', 'verify', 'f'], 80)).toMatchObject({
    command: 'verify',
    globals: { as: 'log' },
  });
  expect(parse(['--as', 'verify', 'audit', '--fail-if', 'due'], 80)).toMatchObject({
    command: 'audit',
    options: { failIf: 'due' },
  });
  const refused = refusalOf(['--workspace', 'log', 'verify', '--nonsense', 'f']);
  expect(refused.next).toContain('slotproof verify --help');
  expect(helpOf(['help', 'prepare'])).toContain('--fresh');
});

test('--version of the tool and --version of a unit are two things', () => {
  expect(parse(['--version'], 80).kind).toBe('version');
  expect(parse(['--json', '-V'], 80).kind).toBe('version');
  expect(parse(['units', 'add', 'S1', '--version', '4.10'], 80)).toMatchObject({
    kind: 'run',
    options: { version: '4.10' },
  });
});

test('lists and single values arrive as they were given', () => {
  expect(parse(['sheet', 'p', '--unit', 'A', 'B'], 80)).toMatchObject({ options: { unit: ['A', 'B'] } });
  expect(parse(['manifests', 'check', 'a', 'b'], 80)).toMatchObject({ positionals: ['a', 'b'] });
  expect(parse(['manifests', 'check'], 80)).toMatchObject({ positionals: [] });
  expect(parse(['check'], 80)).toMatchObject({ kind: 'run' });
});

test.each([
  [['prepaer'], 'unknown-command', 'Did you mean prepare?'],
  [['verify', 'f', '--form'], 'unknown-option', 'See slotproof verify --help.'],
  [['verify'], 'missing-argument', 'See slotproof verify --help.'],
  [['verify', 'a', 'b'], 'excess-arguments', 'See slotproof verify --help.'],
  [['log', 'S', 'updated', '--left', 'dead'], 'invalid-argument', 'See slotproof log --help.'],
  [['log', 'S', 'updated', '--left'], 'option-missing-argument', 'See slotproof log --help.'],
  [[], 'command-missing', 'slotproof --help'],
  [['units'], 'command-missing', 'slotproof units --help'],
])('%j is refused with %s', (argv, code, next) => {
  const facts = refusalOf(argv);
  expect(facts).toMatchObject({ code, exit: 2 });
  expect(facts.next).toContain(next);
  expect(facts.summary).toMatch(/[.?]$/);
});
