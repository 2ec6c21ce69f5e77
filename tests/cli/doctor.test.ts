// `doctor`: what is fine, what is missing, and what stops the work, each told by its own check and nothing else.

import {
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { demoDownload } from '../../src/manifest/demo-firmware.ts';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { demoCatalogue } from '../support/demo-world.ts';
import { runCli } from '../support/run-cli.ts';
import { testClock } from '../support/test-clock.ts';

const names = [
  'workspace',
  'record',
  'clock',
  'room',
  'manifests',
  'downloads',
  'news',
  'readers',
  'paper',
] as const;
type Name = (typeof names)[number];

let at: ReturnType<typeof makeDemoWorkspace>;
beforeEach(() => {
  at = makeDemoWorkspace();
  // As if they had come today.
  const today = testClock.now() / 1000;
  for (const name of manifests()) utimesSync(name, today, today);
});
afterEach(() => rmSync(at.folder, { recursive: true }));

const manifests = () => {
  const folder = join(at.workspace, 'manifests');
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => join(folder, name));
};
const run = (...args: string[]) => runCli([...args, '--json'], { workspace: at.workspace });

async function checks(workspace = at.workspace) {
  const { exit, json } = await runCli(['doctor', '--json'], { workspace });
  const byName = new Map<Name, any>(json.checks.map((one: { check: Name }) => [one.check, one]));
  expect([...byName.keys()].sort()).toEqual([...names].sort());
  for (const { verdict, summary, next } of byName.values()) {
    expect(summary).not.toBe('');
    if (verdict !== 'good') expect(next).toMatch(/\S/);
  }
  const worst = Math.max(
    ...[...byName.values()].map(({ verdict }) => ['good', 'warn', 'stop'].indexOf(verdict)),
  );
  expect([exit, json.verdict]).toEqual(worst === 2 ? [3, 'not-ready'] : [0, 'ready']);
  return byName;
}

/** Which checks do not say good, readers aside: they depend on the computer. */
async function told(workspace?: string): Promise<Record<string, string>> {
  const found = [...(await checks(workspace))].filter(([name]) => name !== 'readers');
  return Object.fromEntries(
    found.filter(([, { verdict }]) => verdict !== 'good').map(([name, { verdict }]) => [name, verdict]),
  );
}

test('all is well: it says so last, in 60 columns, and leaves nothing behind', async () => {
  const before = readdirSync(at.workspace).sort();
  expect(await told()).toEqual({});
  expect(readdirSync(at.workspace).filter((name) => !before.includes(name))).toEqual(['catalogue.json']);
  const { stdout } = await runCli(['doctor'], { workspace: at.workspace, columns: 60 });
  const lines = stdout.trimEnd().split('\n');
  expect(lines.at(-1)).toMatch(/^Ready for tonight/);
  for (const line of lines) if (!line.includes(at.folder)) expect(line.length, line).toBeLessThanOrEqual(60);
});

test('no workspace: none is made', async () => {
  const none = join(at.folder, 'none');
  expect(await told(none)).toEqual({ workspace: 'warn', manifests: 'stop' });
  expect(existsSync(none)).toBe(false);
});

test('a file where the workspace should be', async () => {
  const file = join(at.folder, 'file');
  writeFileSync(file, 'x');
  expect(await told(file)).toMatchObject({ workspace: 'stop' });
});

test('a record that cannot be read', async () => {
  writeFileSync(join(at.workspace, 'record.db'), 'no record');
  expect(await told()).toEqual({ record: 'stop', downloads: 'warn' });
});

test('a clock behind what is on record', async () => {
  await run('units', 'add', 'TB8120000834', '--site', 'Alder Farm', '--hardware', 'B', '--as', 'R. Quill');
  expect(await told()).toEqual({});
  const yesterday = { ...testClock, now: () => testClock.now() - 86_400_000 };
  const { exit, json } = await runCli(['doctor', '--json'], { workspace: at.workspace, clock: yesterday });
  const clock = json.checks.find((one: { check: string }) => one.check === 'clock');
  expect([exit, clock.verdict]).toEqual([3, 'stop']);
});

test('a manifest of a release to come, one that is unsound, and news that is old', async () => {
  const [release] = manifests().filter((name) => name.includes('hearth-90-2.6.0'));
  const text = readFileSync(release!, 'utf8');
  writeFileSync(release!, text.replace(/^issued: .*$/m, 'issued: 2031-01-01').replace(/^due: .*$/m, ''));
  utimesSync(release!, testClock.now() / 1000, testClock.now() / 1000);
  expect(await told()).toEqual({ clock: 'warn' });
  writeFileSync(release!, `${text}\nnonsense: 1\n`);
  expect(await told()).toEqual({ manifests: 'warn' });
  writeFileSync(release!, text);
  const old = testClock.now() / 1000 - 8 * 86_400;
  for (const name of manifests()) utimesSync(name, old, old);
  expect(await told()).toEqual({ news: 'warn' });
});

test('the downloads of what units need next', async () => {
  await run(
    'units',
    'add',
    'TB8120000834',
    '--site',
    'Alder Farm',
    '--hardware',
    'B',
    '--version',
    '2.5.0',
    '--as',
    'R. Quill',
  );
  const found = (await checks()).get('downloads');
  expect([found.verdict, found.seen]).toEqual(['warn', 'none of hearth-90@2.6.0']);
  const release = demoCatalogue().releases.find(({ version }) => version === '2.6.0')!;
  const download = join(at.folder, 'hearth.zip');
  writeFileSync(download, demoDownload(release).bytes);
  expect((await run('verify', download)).json.verdict).toBe('matches');
  expect((await checks()).get('downloads').verdict).toBe('good');
  rmSync(download);
  expect((await checks()).get('downloads').verdict).toBe('warn');
});

test('a workspace that cannot be written to', async () => {
  // As root nothing is read-only by its mode: a folder stands where the small file would be written.
  if (process.getuid?.() === 0) mkdirSync(join(at.workspace, 'doctor.probe'));
  else chmodSync(at.workspace, 0o500);
  expect(await told()).toMatchObject({ workspace: 'stop' });
  chmodSync(at.workspace, 0o700);
});
