// exFAT cards at the command line: `check` says what a unit would, `prepare` keeps off their sectors, and `--fresh` keeps
// what is on them before it lays them out as FAT.

import { createHash } from 'node:crypto';
import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { listFiles, temporaryFolder } from '../support/card-images.ts';
import { firmwareBytes } from '../support/card-rule.ts';
import { makeCardWorkspace } from '../support/card-workspace.ts';
import { makeExfatBytes } from '../support/exfat-images.ts';
import { runCli } from '../support/run-cli.ts';

const image = firmwareBytes(70_000);
const picture = firmwareBytes(30_000, 7);
const folder = temporaryFolder();
const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

function bench(name: string, fileSystems: string, files: Parameters<typeof makeExfatBytes>[0]['files']) {
  const rule = `{ fileSystems: [${fileSystems}], partitionTables: [none], capacity: { min: 1MB, max: 4GB } }`;
  const made = makeCardWorkspace(rule, [{ version: '4.2.0', image }]);
  const card = join(folder, `${name}.img`);
  writeFileSync(card, makeExfatBytes({ sizeBytes: 12 << 20, label: 'CARD', files: files ?? [] }));
  const run = (command: string, ...args: string[]) =>
    runCli([command, card, '--for', 'rill-40', ...args, '--json'], { workspace: made.workspace });
  const prepare = (...args: string[]) =>
    run('prepare', '--from', made.download('4.2.0'), '--confirm', card, '--as', 'R. Quill', ...args);
  const asText = () => {
    const from = ['--from', made.download('4.2.0'), '--confirm', card, '--as', 'R. Quill'];
    return runCli(['prepare', card, '--for', 'rill-40', ...from], { workspace: made.workspace });
  };
  return { card, run, prepare, asText };
}

const right = { path: 'RILL40.FWU', bytes: image };
const stray = { path: 'DCIM/a picture of the plate.jpg', bytes: picture, chainedGap: 3 };

describe('a unit that takes exFAT', () => {
  test('its card is ready, and nothing has to be done to it', async () => {
    const { run, prepare } = bench('ready', 'exfat', [right]);
    const { json, exit } = await run('check');
    expect([exit, json.verdict, json.findings]).toEqual([0, 'ready', []]);
    expect(json.card).toMatchObject({ fileSystem: 'exfat', label: 'CARD', clusterBytes: 4096 });
    expect(json.card.volumeId).toMatch(/^[0-9A-F]{4}-[0-9A-F]{4}$/);
    const prepared = await prepare();
    expect([prepared.exit, prepared.json.verdict, prepared.json.plan]).toEqual([0, 'ready', []]);
  });

  test('a card with something to put right is refused, untouched, with the way that is left', async () => {
    const { card, run, prepare, asText } = bench('stray', 'exfat', [right, stray]);
    const before = sha256(readFileSync(card));
    expect((await run('check')).json.verdict).toBe('fixable');
    const { json, exit } = await prepare();
    expect([exit, json.verdict]).toEqual([3, 'not-ready']);
    const last = json.findings.at(-1);
    expect(last.code).toBe('written-by-mount');
    expect(last.next).toBe('Mount the card, and name it by where it is mounted.');
    // --fresh would not help: the unit takes exFAT alone, which is not laid out here.
    expect((await asText()).stdout.trimEnd().split('\n').at(-1)).toBe(
      `not ready: the card was not changed. ${last.next}`,
    );
    expect(sha256(readFileSync(card))).toBe(before);
  });
});

test('a unit that takes FAT: --fresh keeps what is on the exFAT card first, byte by byte', async () => {
  const { card, prepare } = bench('fresh', 'fat16', [{ ...right, path: 'old.bin' }, stray]);
  const refused = await prepare();
  expect(refused.json.findings.map(({ code }: { code: string }) => code)).toContain(
    'file-system-not-allowed',
  );
  const { json, exit } = await prepare('--fresh');
  expect([exit, json.verdict]).toEqual([0, 'ready']);
  const kept = json.kept.find(({ path }: { path: string }) => path === stray.path);
  expect(sha256(readFileSync(kept.keptAt))).toBe(sha256(picture));
  expect(listFiles(card, { table: 'none' })).toEqual(['RILL40.FWU']);
});
