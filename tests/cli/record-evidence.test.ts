// `record check` reads the photos and result files that entries name: each one missing, altered or extra is told. The
// stock sha256sum says which file is which.
import { spawnSync } from 'node:child_process';
import { appendFileSync, mkdirSync, readdirSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';

let workspace: RegisterWorkspace;
let folder: string;
const photo = (name: string) => workspace.file(name, `a picture: ${name}`);
beforeEach(async () => {
  workspace = registerWorkspace();
  folder = join(workspace.path, 'evidence');
  await cli('units', 'add', pumpSerial(1), '--site', 'Alder Farm');
  for (const name of ['plate.JPG', 'display.png', 'door']) {
    const logged = await cli(
      'log',
      pumpSerial(1),
      'note',
      '--note',
      name,
      '--photo',
      photo(name),
      '--as',
      'R. Quill',
    );
    expect(logged.exit).toBe(0);
  }
});
afterEach(() => workspace.remove());

const cli = (...args: string[]) => runCli([...args, '--json'], { workspace: workspace.path });
const codes = async () =>
  (await cli('record', 'check')).json.findings.map(({ code, severity }: any) => `${severity} ${code}`);
const names = () => readdirSync(folder).sort();

test('all there and unchanged', async () => {
  expect(names()).toHaveLength(3);
  for (const name of names()) {
    const said = spawnSync('sha256sum', [join(folder, name)], { encoding: 'utf8' }).stdout;
    expect(name.startsWith(said.slice(0, 64))).toBe(true);
  }
  expect(await cli('record', 'check')).toMatchObject({
    exit: 0,
    json: { verdict: 'intact', evidence: 3, findings: [] },
  });
});

test('each one altered, missing or under another ending', async () => {
  for (const name of names()) {
    const path = join(folder, name);
    appendFileSync(path, ' ');
    const { exit, json } = await cli('record', 'check');
    expect([exit, json.verdict, json.evidence]).toEqual([3, 'damaged', 2]);
    expect(json.findings.map(({ code }: any) => code)).toEqual(['evidence-altered']);
    expect(json.findings[0]).toMatchObject({ where: path, expected: name.slice(0, 64) });
    rmSync(path);
    expect(await codes()).toEqual(['stop evidence-missing']);
    writeFileSync(path, '');
    expect(await codes()).toEqual(['stop evidence-altered']);
    const number = ['plate.JPG', 'display.png', 'door'].find(
      (one) =>
        spawnSync('sha256sum', [photo(one)], { encoding: 'utf8' }).stdout.slice(0, 64) === name.slice(0, 64),
    )!;
    rmSync(path);
    spawnSync('cp', [photo(number), path]);
    expect(await codes()).toEqual([]);
    renameSync(path, join(folder, `${name.slice(0, 64)}.xyz`));
    expect(await codes()).toEqual([]);
    renameSync(join(folder, `${name.slice(0, 64)}.xyz`), path);
  }
});

test('what nobody names is told and does no harm', async () => {
  writeFileSync(join(folder, 'holiday.jpg'), 'x');
  writeFileSync(join(folder, `${'0'.repeat(64)}.jpg`), 'x');
  mkdirSync(join(folder, 'more'));
  expect(await codes()).toEqual(Array(3).fill('note evidence-extra'));
  expect((await cli('record', 'check')).exit).toBe(0);
});

test('the folder gone: each photo by its entry', async () => {
  rmSync(folder, { recursive: true });
  const { exit, json } = await cli('record', 'check');
  expect(exit).toBe(3);
  expect(json.findings).toHaveLength(3);
  for (const finding of json.findings) expect(finding.summary).toMatch(/[a-z0-9]{8}-\d/);
});

test('photos of another laptop lie there, and of a restored record beside the back-up', async () => {
  const backup = join(workspace.path, 'b.db');
  await cli('record', 'backup', backup);
  const there = { workspace: join(workspace.path, 'there') };
  await runCli(['record', 'restore', backup], there);
  const { exit, json } = await runCli(['record', 'check', '--json'], there);
  expect([exit, json.findings.map(({ code }: any) => code)]).toEqual([0, ['evidence-elsewhere']]);
  spawnSync('cp', ['-r', folder, there.workspace]);
  expect((await runCli(['record', 'check', '--json'], there)).json).toMatchObject({
    evidence: 3,
    findings: [],
  });
});
