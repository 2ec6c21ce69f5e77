// A record on a drive that is full or write-protected is read all the same, withdrawals first of all; nothing is written
// to it, and what cannot be read without loss is told. Real mounts of a small memory file system in a name space of the
// test's own; the judge of what was read is the same question before.

import { spawnSync } from 'node:child_process';
import { rmSync, statSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { demoDownload } from '../../src/manifest/demo-firmware.ts';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { demoCatalogue } from '../support/demo-world.ts';
import { runCli } from '../support/run-cli.ts';

const key = 'hearth-90@2.6.0';
const serial = 'TB8120000834';
const tool = resolve(import.meta.dirname, '../../bin/slotproof.js');
const { folder, workspace } = makeDemoWorkspace();
afterAll(() => rmSync(folder, { recursive: true }));
const download = join(folder, 'hearth.zip');
const earlier = join(folder, 'hearth-earlier.zip');
const card = join(folder, 'card.img');

beforeAll(async () => {
  for (const [path, version] of [
    [download, '2.6.0'],
    [earlier, '2.5.0'],
  ] as const) {
    const release = demoCatalogue().releases.find(
      (one) => one.product === 'hearth-90' && one.version === version,
    )!;
    writeFileSync(path, demoDownload(release).bytes);
  }
  const done = async (...args: string[]) =>
    expect((await runCli([...args, '--as', 'R. Quill'], { workspace })).exit).toBe(0);
  await done('units', 'add', serial, '--hardware', 'B', '--site', 'Alder Farm', '--version', '2.5.0');
  await done('prepare', card, '--for', key, '--from', download, '--fresh', '--size', '4GB');
  expect((await runCli(['check', card, '--for', key], { workspace })).exit).toBe(0);
  await done('withdraw', key, '--why', 'cabinets do not restart');
});

/** What each command answers, its exit within; `s` runs one on a small drive, W, that holds a copy of the workspace. */
function onDrive(script: string): any[] {
  const unshare = process.getuid?.() === 0 ? ['-m'] : ['-rm'];
  const env = {
    ...process.env,
    W: join(folder, 'mounted'),
    FROM: workspace,
    CARD: card,
    DOWNLOAD: download,
    EARLIER: earlier,
  };
  const head = `mkdir -p $W; mount -t tmpfs -o size=2M none $W; cp -r $FROM/manifests $FROM/record.db* $W/
    s() { ${process.execPath} ${tool} --workspace $W --json --no-input --as Quill "$@" 2>$W.said | tr '\\n' ' '; echo; }
    fill() { head -c 9000000 /dev/zero > $W/filler 2>/dev/null; }
    hot() { ${process.execPath} -e "$1"; }`;
  const done = spawnSync('unshare', [...unshare, 'sh', '-c', `${head}\n${script}`], {
    encoding: 'utf8',
    env,
  });
  expect(`${done.status} ${done.stderr}`).toBe('0 ');
  return done.stdout
    .trim()
    .split('\n')
    .map((line) => JSON.parse(line));
}
/** What the card holds, and when it was last written to. */
async function sectorsOf(): Promise<string> {
  const { json } = await runCli(['check', card, '--json'], { workspace });
  return JSON.stringify([json.card, statSync(card).mtimeMs, statSync(card).blocks]);
}
const codes = ({ findings }: any) => findings.map(({ code }: { code: string }) => code);

/** A program that was ended while it wrote: its last commit is in the log alone. */
const hotLog = `
const Database = require(process.env.SQLITE);
const database = new Database(process.env.W + '/record.db');
database.pragma('wal_autocheckpoint = 0');
database.exec('CREATE TABLE scrap (x)');
process.kill(process.pid, 'SIGKILL');`;

describe.each([
  ['full', 'fill', 'record-disk-full'],
  ['write-protected', 'mount -o remount,ro $W', 'record-not-opened'],
])('a %s drive', (_name, spoil, refusal) => {
  test('is read: withdrawals, audit, units, a back-up onto another drive, the check of the record', async () => {
    const backUp = join(folder, `back-up-${_name}.db`);
    const [check, verify, audit, units, report, backedUp, record] = onDrive(`${spoil}
      s check $CARD --for ${key}
      s verify $DOWNLOAD
      s audit
      s units list
      s report ${serial}
      s record backup ${backUp}
      s record check`);
    // Read, and found withdrawn; not only in doubt.
    expect([check.verdict, codes(check).at(-1)]).toEqual(['unfit', 'withdrawn']);
    expect([verify.verdict, codes(verify)]).toEqual(['differs', expect.arrayContaining(['withdrawn'])]);
    expect(audit.units.map((unit: any) => [unit.serial, unit.version])).toEqual([[serial, '2.5.0']]);
    expect(units.units).toHaveLength(1);
    expect(report).toMatchObject({ path: null, serial, notKept: { next: expect.stringContaining('--out') } });
    expect(JSON.stringify(report.report)).toContain('2.5.0');
    expect(backedUp).toMatchObject({ verdict: 'intact', path: backUp });
    const { json } = await runCli(['record', 'check', '--json'], { workspace });
    expect(record).toMatchObject({ verdict: 'intact', entries: json.entries, marks: json.marks });
    expect(backedUp.entries).toBe(json.entries);
  });

  test('is not written to: refused before anything is done, the record and the card the same to the byte', async () => {
    const before = await sectorsOf();
    const answers = onDrive(`${spoil}
      s log ${serial} note --note x
      s prepare $CARD --for hearth-90@2.5.0 --from $EARLIER --confirm $CARD
      s withdraw hearth-90@2.5.0 --why x
      s record rebuild
      cmp $W/record.db $FROM/record.db >&2
      echo '{}'`);
    expect(answers.map(({ error }) => error?.code)).toEqual([...Array(4).fill(refusal), undefined]);
    expect(await sectorsOf()).toBe(before);
  });
});

test('a log that was not written into the record yet: read on a full drive, told on a write-protected one', () => {
  const hot = `SQLITE=${resolve('node_modules/better-sqlite3')} hot '${hotLog.replaceAll("'", '"')}' 2>/dev/null; test -s $W/record.db-wal || exit 9; rm -f $W/record.db-shm`;
  const [full] = onDrive(`${hot}; fill; s check $CARD --for ${key}`);
  expect(codes(full).at(-1)).toBe('withdrawn');
  const [check, audit] = onDrive(`${hot}
    mount -o remount,ro $W
    s check $CARD --for ${key}
    s audit`);
  expect([check.verdict, codes(check).at(-1)]).toEqual(['unfit', 'withdrawals-unread']);
  expect(audit.error).toMatchObject({
    code: 'record-log-unread',
    next: expect.stringContaining('Copy the whole'),
  });
});

test('the judge: on a drive that takes writes they are done', () => {
  const [noted, check] = onDrive(`s log ${serial} note --note x
    s check $CARD --for ${key}`);
  expect(noted.error).toBeUndefined();
  expect(codes(check)).toContain('withdrawn');
});
