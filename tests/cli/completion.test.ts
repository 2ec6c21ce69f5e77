// `completion`: what the script offers is what the table holds, and bash itself completes with it.

import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { commandTable, groupSummaries } from '../../src/commands/table.ts';
import { runCli } from '../support/run-cli.ts';

const folder = mkdtempSync(join(tmpdir(), 'slotproof-completion-'));
afterAll(() => rmSync(folder, { recursive: true }));

async function scriptFor(shell: string): Promise<string> {
  const { exit, json } = await runCli(['completion', shell, '--json']);
  expect([exit, json.command, json.shell]).toEqual([0, 'completion', shell]);
  return json.script;
}

test('printed it is the script, never broken where a window ends; an unknown shell is refused', async () => {
  const { stdout } = await runCli(['completion', 'bash'], { columns: 40 });
  expect(stdout).toBe(await scriptFor('bash'));
  const { exit, json } = await runCli(['completion', 'tcsh', '--json']);
  expect([exit, json.error.code, json.error.expected]).toEqual([2, 'shell-unknown', 'bash, zsh, fish']);
});

test.each(['bash', 'zsh', 'fish'])('%s: every command, option and choice stands in it', async (shell) => {
  const script = await scriptFor(shell);
  for (const { name, options } of commandTable) {
    expect(script, name).toContain(name.split(' ').at(-1));
    for (const { flags, choices = [] } of options) {
      const [word = ''] = flags.split(' ');
      expect(script, `${name} ${word}`).toContain(shell === 'fish' ? `-l ${word.slice(2)} ` : word);
      for (const choice of choices) expect(script, `${name} ${word}`).toContain(choice);
    }
  }
});

describe('in bash', () => {
  let script: string;
  beforeAll(async () => {
    script = join(folder, 'bash');
    writeFileSync(script, await scriptFor('bash'));
  });

  /** What bash offers for the last of these words. */
  function offered(...words: string[]): string[] {
    const run = `source "$0"; COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _slotproof; printf '%s\\n' "\${COMPREPLY[@]}"`;
    const { stdout, stderr } = spawnSync('bash', ['--norc', '-c', run, script, 'slotproof', ...words], {
      encoding: 'utf8',
    });
    expect(stderr).toBe('');
    return stdout.split('\n').filter((line) => line !== '');
  }
  const firstWords = [...new Set(commandTable.map(({ name }) => name.split(' ')[0]!))].sort();

  test('commands and groups first, then their members', () => {
    expect(offered('').sort()).toEqual(firstWords);
    expect(offered('ver')).toEqual(['verify']);
    for (const group of Object.keys(groupSummaries)) {
      const members = commandTable.filter(({ name }) => name.startsWith(`${group} `));
      expect(offered(group, '').sort()).toEqual(members.map(({ name }) => name.split(' ')[1]).sort());
    }
  });

  test('the options of each command, and those that stand anywhere', () => {
    for (const { name, options } of commandTable) {
      const words = options.map(({ flags }) => flags.split(' ')[0]!);
      const everywhere = ['--workspace', '--json', '--no-input', '--no-color', '--as', '--help'];
      expect(offered(...name.split(' '), 'x', '--').sort(), name).toEqual([...words, ...everywhere].sort());
    }
  });

  test('values where there is a list of them, else names of files', () => {
    expect(offered('log', 'S', '--left', '')).toEqual(['running', 'off', 'locked-off', 'no-life']);
    expect(offered('log', 'S', 'al')).toEqual(['already-current']);
    expect(offered('sheet', '--format', 'p')).toEqual(['pdf', 'pocket']);
    expect(offered('completion', '')).toEqual(['bash', 'zsh', 'fish']);
    // Nothing of ours: then bash offers files by itself.
    for (const words of [
      ['verify', ''],
      ['prepare', '--from', ''],
      ['--workspace', ''],
    ])
      expect(offered(...words)).toEqual([]);
  });

  test('the value of an option is no command, and a file may be called like one', () => {
    expect(offered('--as', 'check', 'units', 'imp')).toEqual(['import']);
    expect(offered('--json', 'record', 'sal')).toEqual(['salvage']);
    expect(offered('check', 'demo', '--f')).toEqual(['--for']);
  });

  test('what is typed is never run', () => {
    const trap = join(folder, 'trap');
    for (const word of [`$(touch ${trap})`, `\`touch ${trap}\``, `'; touch ${trap}; '`]) {
      offered(word, '');
      offered('log', word);
      offered('log', '--left', word);
      expect(spawnSync('test', ['-e', trap]).status, word).not.toBe(0);
    }
  });
});
