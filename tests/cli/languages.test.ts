// In which language a sheet is printed and a visit walked: asked for, by the environment, or English. What the tool
// says of itself, and its JSON, are the same in each.

import { readFileSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { languages } from '../../src/sheet/language.ts';
import { runCli } from '../support/run-cli.ts';
import { type VisitWorkspace, visitStartMs, visitWorkspace } from '../support/visit-workspace.ts';
import { scriptFor, timed, walkCases } from '../support/walk-script.ts';

const hearth = scriptFor(walkCases[0]!);
const { serial } = hearth.case;
const lines = timed(hearth.ways().find(({ end }) => end === 'done')!.lines, visitStartMs());

let at: VisitWorkspace;
beforeAll(async () => {
  at = await visitWorkspace([walkCases[0]!]);
  await at.card('C-7', 'hearth-90@2.6.0');
});
afterAll(() => at.remove());

const call = (words: readonly string[], env: Readonly<Record<string, string>> = {}, columns = 80) =>
  runCli([...words, '--as', 'R. Quill'], { workspace: at.workspace, env, columns });

describe('a sheet', () => {
  test.each([
    [['--language', 'de'], {}, 'de'],
    [['--language', 'fr'], {}, 'fr'],
    [[], { SLOTPROOF_LANGUAGE: 'fr' }, 'fr'],
    [['--language', 'de'], { SLOTPROOF_LANGUAGE: 'fr' }, 'de'],
    [[], { SLOTPROOF_LANGUAGE: '' }, 'en'],
    [[], {}, 'en'],
  ] as const)('%j with %j is in %s', async (words, env, code) => {
    const { exit, stdout } = await call(['sheet', 'hearth-90', ...words], env);
    expect(exit).toBe(0);
    expect(stdout).toContain(`\n${languages[code].sections.cautions}\n`);
    // The last line is the tool's own.
    expect(stdout.trimEnd().split('\n').at(-1)).toMatch(/^Sheet \S+ for hearth-90@2\.6\.0/);
  });

  test.each(['html', 'pocket'])('as %s says its language to the reader', async (form) => {
    for (const code of ['de', 'fr'] as const) {
      const { json } = await call([
        'sheet',
        'hearth-90',
        '--format',
        form,
        '--language',
        code,
        '--slip',
        '--json',
      ]);
      for (const path of [json.path, json.slip]) {
        expect(readFileSync(path, 'utf8')).toMatch(new RegExp(`<html lang="${code}"`));
      }
      expect(readFileSync(json.slip, 'utf8')).toContain(languages[code].slip.title);
    }
  });

  test('in a language that there is not: exit 2, which there are, and nothing made', async () => {
    const byOption = await call(['sheet', 'hearth-90', '--language', 'xx', '--json']);
    expect(byOption).toMatchObject({ exit: 2 });
    expect(JSON.stringify(byOption.json.error)).toMatch(/en, de, fr/);
    const byEnvironment = await call(['sheet', 'hearth-90', '--json'], { SLOTPROOF_LANGUAGE: 'x\u001b[2J' });
    expect(byEnvironment).toMatchObject({ exit: 2, json: { error: { code: 'language-unknown' } } });
    expect(byEnvironment.stdout).not.toContain('\u001b');
  });
});

test('a visit begun in German is resumed in French to its end, and its entries are in no language', async () => {
  const index = lines.findIndex((line) => line.step === 'look');
  const until = lines.slice(0, index);
  const stopped = [{ stop: true }, { ask: 'stopped', choice: 'break-off' }];
  const begun = await at.visit(serial, [...until, ...stopped], '--language', 'de');
  expect([begun.exit, begun.json.stopped.step]).toEqual([130, 'look']);
  const during = { inverter: 'stopped', 'main-switch': 'open', key: 'service', hatch: 'open', card: 'in' };
  const anew = [
    { ask: 'cautions', read: true },
    { ask: 'plate', lastFour: serial.slice(-4), revision: 'B' },
    { ask: 'positions', positions: during },
    { ask: 'prove-dead', meterBefore: true, readings: [0, 0.4, '-1,2'], meterAfter: true },
  ].map((line) => ({ ...line, at: until.at(-1)!.at }));
  const resumed = await at.visit(serial, [...anew, ...lines.slice(index)], '--language', 'fr');
  expect(resumed).toMatchObject({ exit: 0, json: { outcome: 'updated' } });
  const entries = await at.entries();
  expect(entries.length).toBeGreaterThan(20);
  for (const entry of entries) expect(JSON.stringify(entry)).not.toMatch(/Schritt|Étape|getan|interrompue/);
});
