// `sheet --format pocket` as a person calls it: one file, readable by its user alone, with a key of its own that is
// kept beside the sheet, and nothing of another form touched.

import { readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, test } from 'vitest';
import { encodeOutcomeFile } from '../../src/sheet/outcome/outcome-file.ts';
import { demoUnits, type PocketPages, pocketPages } from '../support/pocket-page.ts';
import { runCli } from '../support/run-cli.ts';
import { testClock } from '../support/test-clock.ts';

let pages: PocketPages;
beforeAll(() => {
  pages = pocketPages();
});
afterAll(() => pages.remove());

const factsOf = (number: string) =>
  JSON.parse(readFileSync(join(pages.workspace, 'sheets', `${number}.json`), 'utf8'));
/** All that the page's script is given. */
const dataOf = (html: string) =>
  JSON.parse(/<script id="data" type="application\/json">(.*)<\/script>/.exec(html)?.[1] ?? '');

test('one file in the workspace, and a key that is the sheet’s alone', async () => {
  const first = await pages.make('hearth-90', demoUnits.hearth, '--day-ends', '16:30');
  const second = await pages.make('hearth-90', demoUnits.hearth);
  expect(first.path).toBe(join(pages.workspace, 'sheets', `${first.number}.pocket.html`));
  expect(statSync(first.path).mode & 0o077).toBe(0);
  const { pocket, units } = factsOf(first.number);
  expect(pocket.key).toMatch(/^[0-9a-f]{64}$/);
  expect(factsOf(second.number).pocket.key).not.toBe(pocket.key);
  const data = dataOf(first.html);
  expect(data.outcomes).toEqual({
    sheet: first.number,
    key: pocket.key,
    version: '2.6.0',
    units: units.map(({ serial }: { serial: string }) => serial),
    patterns: pocket.patterns,
  });
  expect(pocket.patterns).toEqual(data.product.patterns.map(({ id }: { id: string }) => id));
  expect(first.html).toContain('BEGIN NO UNIT AFTER');
});

test('what the terminal says ends with where it is; with --out it lies there too, never over another file', async () => {
  const out = join(pages.folder, 'phone.html');
  const args = ['sheet', 'hearth-90', '--format', 'pocket', '--out', out];
  const made = await runCli(args, { workspace: pages.workspace });
  expect(made.exit).toBe(0);
  const lines = made.stdout.trimEnd().split('\n');
  expect(lines.at(-1)).toMatch(/^Sheet \S{9} for hearth-90@2\.6\.0.*: /);
  expect(lines.at(-1)).toContain(out);
  expect(made.stdout).toContain('open it there once, with the network off');
  expect(made.stdout).not.toContain('<html');
  expect(readFileSync(out, 'utf8')).toMatch(/^<!doctype html>/);
  const again = await runCli([...args, '--json'], { workspace: pages.workspace });
  expect(again).toMatchObject({ exit: 2, json: { error: { code: 'file-exists' } } });
});

test('other forms draw no key, and carry none', async () => {
  const { json } = await runCli(['sheet', 'hearth-90', '--format', 'html', '--json'], {
    workspace: pages.workspace,
  });
  expect(factsOf(json.sheet)).not.toHaveProperty('pocket');
});

test('an outcome made with the page’s key is taken in by collect, once', async () => {
  const made = await pages.make('hearth-90', demoUnits.hearth);
  const [unit] = demoUnits.hearth;
  const { outcomes } = dataOf(made.html);
  const file = join(pages.folder, 'result.json');
  const outcome = {
    sheet: made.number,
    row: 1,
    serial: unit.serial,
    outcome: 'updated',
    versionRead: '2.6.0',
    left: 'running',
    at: new Date(testClock.now()).toISOString().replace('Z', '+00:00'),
    by: 'R. Quill',
  } as const;
  writeFileSync(file, encodeOutcomeFile(outcome, outcomes));
  const call = () => runCli(['collect', file, '--as', 'R. Quill', '--json'], { workspace: pages.workspace });
  const first = await call();
  expect(first.json.refused).toEqual([]);
  expect(first.json.taken).toHaveLength(1);
  expect((await call()).json.taken).toHaveLength(0);
});
