// The record on drives that are full, write-protected, fail or lock nothing: the tool as a whole process, one clear
// error with exit 7, nothing that was acknowledged lost, and it goes on once the drive does. Real mounts of a small
// memory file system in a name space of the test's own; failing calls by strace.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { runCli } from '../support/run-cli.ts';

const tool = resolve(import.meta.dirname, '../../bin/slotproof.js');
let workspace: RegisterWorkspace;
beforeEach(async () => {
  workspace = registerWorkspace();
  expect(existsSync(tool)).toBe(true);
  await runCli(['units', 'add', pumpSerial(1), '--site', 'Alder Farm'], { workspace: workspace.path });
});
afterEach(() => workspace.remove());

/** In a name space of its own, where it may mount; what it mounts is gone with it. */
function inOwnMounts(script: string): string {
  const unshare = process.getuid?.() === 0 ? ['-m'] : ['-rm'];
  const env = {
    ...process.env,
    W: join(workspace.path, 'mounted'),
    FROM: workspace.path,
    SERIAL: pumpSerial(1),
  };
  const head = `mkdir -p $W; s() { ${process.execPath} ${tool} --workspace $W --json "$@" || echo "{\\"exit\\":$?}"; }
    note() { s log $SERIAL note --as Quill --note "$1" 2>/dev/null; }`;
  const done = spawnSync('unshare', [...unshare, 'sh', '-c', `${head}\n${script}`], {
    encoding: 'utf8',
    env,
  });
  expect(`${done.status} ${done.stderr}`).toBe('0 ');
  return done.stdout;
}

/** Each command's object, its exit within. */
function answers(output: string): any[] {
  const all = output
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line));
  return all.flatMap((one, i) =>
    'exit' in one && !('command' in one)
      ? []
      : [{ exit: 0, ...one, ...(all[i + 1]?.exit && { exit: all[i + 1].exit }) }],
  );
}

test('a full drive: told, nothing lost, and it goes on when there is room', () => {
  const long = 'n'.repeat(1900);
  const said = answers(
    inOwnMounts(`mount -t tmpfs -o size=500k none $W
    cp -r $FROM/manifests $FROM/record.db $W/
    note first
    head -c 1000000 /dev/zero > $W/filler 2>/dev/null
    for i in 1 2 3 4; do note ${long}; done
    s record check
    rm $W/filler
    note last
    s record check`),
  );
  const checks = said.filter(({ command }) => command === 'record check');
  const notes = said.filter(({ command }) => command === 'log');
  const done = notes.filter(({ exit }) => exit === 0);
  const refused = notes.filter(({ exit }) => exit !== 0);
  expect(refused.length).toBeGreaterThan(0);
  for (const { exit, error } of refused) {
    expect([exit, error.code]).toEqual([7, 'record-disk-full']);
    expect(error.next).toContain('room');
  }
  expect(notes.at(-1).exit).toBe(0);
  expect(checks.at(-1)).toMatchObject({ exit: 0, verdict: 'intact', entries: 1 + done.length, findings: [] });
});

test('a write-protected drive: told, to read and to write', () => {
  const said = answers(
    inOwnMounts(`mount -t tmpfs -o size=2M none $W
    cp -r $FROM/manifests $FROM/record.db $W/
    note first
    mount -o remount,ro $W
    note second
    s units list
    mount -o remount,rw $W
    s record check`),
  );
  expect(said[0].exit).toBe(0);
  expect(said[1]).toMatchObject({ exit: 7 });
  expect(['record-read-only', 'record-not-opened']).toContain(said[1].error.code);
  expect(said[2]).toMatchObject({ exit: 0, units: [{ serial: pumpSerial(1) }] });
  expect(said[3]).toMatchObject({ exit: 0, entries: 2 });
});

/** One `log` during which the calls fail. */
function logWhile(inject: string) {
  const files = ['', '-wal', '-shm'].flatMap((more) => ['-P', `${workspace.record}${more}`]);
  const call = inject.split(':')[0]!;
  const command = ['-f', '-qq', '-o', '/dev/null', ...files, '-e', `trace=${call}`, '-e', `inject=${inject}`];
  const log = ['log', pumpSerial(1), 'note', '--note', 'x', '--as', 'Quill', '--json'];
  const done = spawnSync(
    'strace',
    [...command, process.execPath, tool, '--workspace', workspace.path, ...log],
    { encoding: 'utf8' },
  );
  return { exit: done.status, json: JSON.parse(done.stdout) as any };
}

test.each([
  ['the drive is full', 'pwrite64:error=ENOSPC:when=1+', 'record-disk-full'],
  ['a write fails', 'pwrite64:error=EIO:when=9+', 'record-drive-failed'],
  ['it cannot be made sure', 'fsync:error=EIO:when=1+', 'record-drive-failed'],
  ['a read fails', 'pread64:error=EIO:when=3+', 'record-damaged'],
  ['a network drive that locks nothing', 'fcntl:error=ENOLCK:when=5+', 'record-not-locked'],
  ['a network drive that knows no locks', 'fcntl:error=EOPNOTSUPP:when=4+', 'record-not-locked'],
])('%s: exit 7, nothing is lost, and it goes on afterwards', async (_name, inject, code) => {
  const before = (await runCli(['record', 'check', '--json'], { workspace: workspace.path })).json.entries;
  const { exit, json } = logWhile(inject);
  expect([exit, json.error?.code]).toEqual([7, code]);
  expect(json.error.next).not.toBe('');
  const after = await runCli(['record', 'check', '--json'], { workspace: workspace.path });
  // A write whose flush failed may be there after all: it was not acknowledged, so both are right.
  expect(after.json).toMatchObject({ verdict: 'intact', findings: [] });
  expect([before, before + 1]).toContain(after.json.entries);
  const again = await runCli(['log', pumpSerial(1), 'note', '--note', 'y', '--as', 'Quill'], {
    workspace: workspace.path,
  });
  expect(again.exit).toBe(0);
});

test('the judge: without a failing call the same command is done', () => {
  expect(logWhile('fsync:delay_enter=1:when=1+').exit).toBe(0);
});
