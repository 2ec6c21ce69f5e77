// Packets from laptop to laptop by the command line.

import { spawnSync } from 'node:child_process';
import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { sealEntry } from '../../src/record/seal-entry.ts';
import { chainOf, newYear } from '../support/entries.ts';
import { manifestLine, packetText } from '../support/packets.ts';
import { recordRows } from '../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { type CliResult, runCli } from '../support/run-cli.ts';

const [one, two] = [pumpSerial(1), pumpSerial(2)];
let folder: string;
let crew: RegisterWorkspace[];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'slotproof-packets-'));
  crew = [];
});
afterEach(() => {
  rmSync(folder, { recursive: true, force: true });
  for (const each of crew) each.remove();
});

let packets = 0;

class Laptop {
  readonly workspace = registerWorkspace();
  readonly name: string;
  constructor(name: string) {
    this.name = name;
    crew.push(this.workspace);
    // Of one day, as if they had come with one packet.
    for (const file of readdirSync(join(this.workspace.path, 'manifests')))
      utimesSync(join(this.workspace.path, 'manifests', file), 1_795_000_000, 1_795_000_000);
  }
  cli = (...args: string[]): Promise<CliResult> =>
    runCli([...args, '--json', '--as', this.name], { workspace: this.workspace.path });
  async pack(...args: string[]): Promise<string> {
    packets += 1;
    const path = join(folder, `${packets}.packet`);
    const { exit, json } = await this.cli('record', 'pack', path, ...args);

    expect(exit, JSON.stringify(json)).toBe(0);
    return path;
  }
  takeIn = (path: string) => this.cli('record', 'take-in', path);
  /** All that the record adds up to, without what differs between laptops. */
  async state(): Promise<unknown> {
    const check = await this.cli('record', 'check');
    expect(check.json.findings).toEqual([]);
    const units = await this.cli('units', 'list', '--retired');
    const entries = await Promise.all(
      units.json.units.map(
        async ({ serial }: { serial: string }) => (await this.cli('units', 'show', serial)).json,
      ),
    );
    return { marks: check.json.marks, units: units.json.units, entries };
  }
}

async function technicians(): Promise<[Laptop, Laptop]> {
  const [a, b] = [new Laptop('R. Quill'), new Laptop('M. Tansy')];
  await a.cli('units', 'add', one, '--site', 'Alder Farm', '--version', '4.0.0');
  await a.cli('log', one, 'updated', '--version-read', '4.2.0');
  await b.cli('units', 'add', two, '--site', 'Birch');
  await b.cli('log', two, 'deferred', '--reason', 'no-access');
  return [a, b];
}

describe('exchange', () => {
  test('both ways, again, and in any order: all know the same', async () => {
    const [a, b] = await technicians();
    const [fromA, fromB] = [await a.pack(), await b.pack()];
    const taken = await b.takeIn(fromA);
    expect(taken.json).toMatchObject({
      verdict: 'intact',
      added: 3,
      known: 0,
      held: 0,
      packedBy: 'R. Quill',
      names: 'kept',
    });
    expect((await b.takeIn(fromA)).json).toMatchObject({ added: 0, known: 3 });
    expect((await a.takeIn(fromB)).json).toMatchObject({ added: 2 });
    // What came from the other goes back to it, and nothing of it counts twice.
    expect((await a.takeIn(await b.pack())).json).toMatchObject({ added: 0, known: 5 });
    expect(await a.state()).toEqual(await b.state());
    const c = new Laptop('S. Rowan');
    for (const packet of [fromB, await b.pack(), fromA]) expect((await c.takeIn(packet)).exit).toBe(0);
    expect(await c.state()).toEqual(await a.state());
    expect((await a.cli('audit')).json.counts).toEqual((await c.cli('audit')).json.counts);
  });

  test('a correction counts wherever it comes, before or after what it corrects', async () => {
    const [a, b] = await technicians();
    const early = await a.pack();
    await b.takeIn(early);
    const id = (await b.cli('units', 'show', one)).json.entries.at(-1).id;
    await b.cli('log', '--corrects', id, 'failed', '--cause', 'card', '--left', 'off', '--why', 'x');
    const late = await b.pack();
    const [c, d] = [new Laptop('S. Rowan'), new Laptop('F. Alder')];
    for (const packet of [early, late]) await c.takeIn(packet);
    for (const packet of [late, early]) await d.takeIn(packet);
    expect((await c.cli('units', 'show', one)).json.unit.status).toBe('failed');
    expect(await c.state()).toEqual(await d.state());
  });

  test('kinds of the future are kept, told, and passed on to the byte', async () => {
    const a = chainOf('aaaaaaaa');
    a.add('note', { text: 'x' }, newYear);
    const place = { laptop: 'aaaaaaaa', seq: 2, prev: a.stored[0]!.hash, writtenAt: a.entries[0]!.writtenAt };
    const recalled = sealEntry(
      { ...a.entries[0]!, kind: 'recalled', body: { serial: one, odd: [1] } },
      place,
    );
    const future = join(folder, 'future.packet');
    writeFileSync(future, packetText({ chains: [[...a.stored, recalled]] }));
    const [b, c] = await technicians();
    const taken = await b.takeIn(future);
    expect([taken.exit, taken.json.added]).toEqual([0, 2]);
    expect(taken.json.findings.map(({ code }: { code: string }) => code)).toContain('kind-unknown');
    await c.takeIn(await b.pack());
    const kept = recordRows(c.workspace.record).filter(({ kind }) => kind === 'recalled');
    expect(kept.map(({ text }) => text)).toEqual([recalled.text]);
  });

  test('a packet is text that sha256sum alone can prove, and readable by its user only', async () => {
    const [a] = await technicians();
    const path = await a.pack();
    const lines = readFileSync(path, 'utf8').trimEnd().split('\n');
    const sha = (text: string) =>
      spawnSync('sha256sum', { input: text, encoding: 'utf8' }).stdout.slice(0, 64);
    const entries = lines.filter((line) => line.startsWith('{"hash"'));
    expect(entries).toHaveLength(3);
    for (const line of entries) expect(sha(line.slice(83, -1))).toBe(JSON.parse(line).hash);
    expect(JSON.parse(lines.at(-1)!).end.sha256).toBe(
      sha(
        lines
          .slice(0, -1)
          .map((line) => `${line}\n`)
          .join(''),
      ),
    );
    expect(statSync(path).mode & 0o777).toBe(0o600);
  });

  test('nothing is replaced, and an empty record can be packed', async () => {
    const [a] = await technicians();
    const path = await a.pack();
    const before = readFileSync(path);
    expect((await a.cli('record', 'pack', path)).json.error.code).toBe('file-exists');
    expect(readFileSync(path)).toEqual(before);
    expect((await a.cli('record', 'pack', join(folder, 'none', 'x.packet'))).exit).toBe(2);
    const c = new Laptop('S. Rowan');
    expect((await a.takeIn(await c.pack())).json).toMatchObject({ added: 0, known: 0, verdict: 'intact' });
    expect(readdirSync(folder).filter((name) => name.endsWith('.part'))).toEqual([]);
  });
});

describe('refused, and nothing taken', () => {
  test('one wrong byte, anywhere; cut short; no packet at all; no file', async () => {
    const [a, b] = await technicians();
    const bytes = readFileSync(await a.pack());
    const before = await b.state();
    const broken = join(folder, 'broken');
    for (let part = 0; part < 24; part++) {
      const at = Math.floor(((bytes.length - 1) * part) / 23);
      const wrong = Buffer.from(bytes);
      wrong[at]! ^= 1;
      writeFileSync(broken, wrong);
      const { exit, json } = await b.takeIn(broken);
      expect([exit, json.verdict, json.added, json.findings.length], `byte ${at}`).toEqual([
        3,
        'damaged',
        0,
        1,
      ]);
      writeFileSync(broken, bytes.subarray(0, at));
      expect((await b.takeIn(broken)).exit, `${at} bytes`).toBe(3);
    }
    writeFileSync(broken, 'no packet');
    expect((await b.takeIn(broken)).json.findings[0].code).toBe('not-a-packet');
    expect((await b.takeIn(join(folder, 'absent'))).exit).toBe(2);
    expect((await b.takeIn(folder)).exit).toBe(2);
    expect(await b.state()).toEqual(before);
    expect(readdirSync(join(b.workspace.path, 'manifests'))).toHaveLength(6);
  });

  test('what people hand in by mistake is told for what it is', async () => {
    const [a, b] = await technicians();
    const packet = readFileSync(await a.pack(), 'latin1');
    const given = join(folder, 'given');
    const cases: readonly (readonly [string | Buffer, RegExp, RegExp])[] = [
      [readFileSync(a.workspace.record), /a database/, /record restore/],
      [gzipSync(packet), /an archive/, /Unpack it/],
      ['<!doctype html><html><title>Sign in</title>', /a web page/, /download it again/],
      [packet.replaceAll('\n', '\r\n'), /saved anew/, /Ask for it again/],
      [Buffer.from(`\ufeff${packet}`), /saved anew/, /Ask for it again/],
      [Buffer.from(packet, 'utf16le'), /saved anew/, /Ask for it again/],
      [packet.replace('packedAt', 'packedat'), /first line is damaged/, /Ask for it again/],
      [packet.slice(0, 20), /first bytes of a packet/, /Copy it again/],
      ['serial;site\nTR1;Alder Farm\n', /a table/, /units import/],
      ['hello\n', /hello/, /record pack wrote/],
      ['', /^undefined$/, /record pack wrote/],
    ];
    for (const [content, seen, next] of cases) {
      writeFileSync(given, content, 'latin1');
      const { exit, json } = await b.takeIn(given);
      const [finding] = json.findings;
      expect([exit, finding.code, finding.where], String(seen)).toEqual([3, 'not-a-packet', given]);
      expect(String(finding.seen)).toMatch(seen);
      expect(finding.next).toMatch(next);
    }
  });

  test('a split is shown with both, the chain here stays, other chains come in', async () => {
    const [a, b] = await technicians();
    await b.takeIn(await a.pack());
    const forked = chainOf(recordRows(a.workspace.record)[0]!.text.match(/"laptop":"(\w+)"/)![1]!);
    forked.add('note', { text: 'another first entry' }, newYear);
    const fresh = chainOf('zzzzzzzz');
    fresh.add('note', { text: 'x' }, newYear);
    const packet = join(folder, 'forked');
    writeFileSync(packet, packetText({ chains: [forked.stored, fresh.stored] }));
    const { exit, json } = await b.takeIn(packet);
    const ours = recordRows(a.workspace.record)[0]!.hash;
    expect(exit).toBe(3);
    expect(json.splits).toEqual([
      { laptop: forked.stored[0]!.laptop, seq: 1, ours, theirs: forked.stored[0]!.hash },
    ]);
    expect([json.added, json.held]).toEqual([1, 1]);
    expect(json.findings).toMatchObject([
      { code: 'split', severity: 'stop', seen: forked.stored[0]!.hash, expected: ours },
    ]);
    expect((await b.cli('record', 'check')).json.verdict).toBe('intact');
  });

  test('newer entries of one’s own chain tell that this record has lost them', async () => {
    const [a, b] = await technicians();
    const old = readFileSync(a.workspace.record);
    await a.cli('log', one, 'note', '--note', 'x');
    await b.takeIn(await a.pack());
    // Without the note beside it, by which the laptop itself sees what happened.
    for (const more of ['-wal', '-shm', '-end']) rmSync(`${a.workspace.record}${more}`, { force: true });
    writeFileSync(a.workspace.record, old);
    const { exit, json } = await a.takeIn(await b.pack());
    expect([exit, json.findings[0].code]).toEqual([3, 'own-ahead']);
  });

  test('a record put back to an earlier state begins a new laptop id, and gets back what others have of it', async () => {
    const [a, b] = await technicians();
    const before = (await a.cli('record', 'mark')).json.laptop;
    const old = readFileSync(a.workspace.record);
    await a.cli('log', one, 'note', '--note', 'x');
    await b.takeIn(await a.pack());
    for (const more of ['-wal', '-shm']) rmSync(`${a.workspace.record}${more}`, { force: true });
    writeFileSync(a.workspace.record, old);
    expect((await a.cli('record', 'check')).json.findings[0].code).toBe('tail-missing');
    const { exit, json } = await a.takeIn(await b.pack());
    expect([exit, json.findings]).toEqual([0, []]);
    await a.cli('log', one, 'note', '--note', 'y');
    const after = await a.cli('record', 'mark');
    expect(after.json.laptop).not.toBe(before);
    expect(after.json.marks.map(({ laptop }: any) => laptop)).toEqual(
      expect.arrayContaining([before, after.json.laptop]),
    );
    expect((await a.cli('record', 'check')).json).toMatchObject({ verdict: 'intact', findings: [] });
    expect((await b.takeIn(await a.pack())).exit).toBe(0);
  });

  test('a laptop that lost the end of its chain is told by what others have of it', async () => {
    const [a, b] = await technicians();
    const old = readFileSync(a.workspace.record);
    await a.cli('log', one, 'note', '--note', 'x');
    const whole = await a.pack();
    await b.takeIn(whole);
    // Without the note beside it, by which the laptop itself sees what happened.
    for (const more of ['-wal', '-shm', '-end']) rmSync(`${a.workspace.record}${more}`, { force: true });
    writeFileSync(a.workspace.record, old);
    const { exit, json } = await b.takeIn(await a.pack());
    expect(exit).toBe(0);
    expect(json.findings).toMatchObject([{ code: 'tail-missing', severity: 'warn' }]);
    // An older packet than what is known here is no such thing.
    await a.takeIn(whole);
    const [c, d] = await technicians();
    const early = await c.pack();
    await c.cli('log', one, 'note', '--note', 'y');
    await d.takeIn(await c.pack());
    expect((await d.takeIn(early)).json.findings).toEqual([]);
  });
});

describe('manifests', () => {
  const day = 1_795_000_000;
  const release = 'rill-40@4.2.0.yaml';
  const at = (laptop: Laptop, name = release) => join(laptop.workspace.path, 'manifests', name);
  function write(laptop: Laptop, more: string, seconds: number, name = release) {
    writeFileSync(at(laptop, name), readFileSync(at(laptop), 'utf8') + more);
    utimesSync(at(laptop, name), seconds, seconds);
  }

  test('a withdrawal comes with the packet; the old manifest is kept, and it is said', async () => {
    const [a, b] = await technicians();
    const before = readFileSync(at(b));
    write(a, 'withdrawn: { on: 2026-11-21, why: It stops }\n', day + 100);
    writeFileSync(`${at(a)}.sig`, 'signed');
    const { exit, json } = await b.takeIn(await a.pack());
    expect([exit, json.manifests.replaced.length, json.manifests.same]).toEqual([0, 1, 5]);
    expect(json.findings).toMatchObject([{ code: 'manifest-replaced', where: release }]);
    expect(readFileSync(json.manifests.replaced[0].keptAt)).toEqual(before);
    expect(readFileSync(at(b))).toEqual(readFileSync(at(a)));
    expect(readFileSync(`${at(b)}.sig`, 'utf8')).toBe('signed');
    expect(statSync(at(b)).mtimeMs).toBe((day + 100) * 1000);
    for (const path of [at(b), `${at(b)}.sig`, json.manifests.replaced[0].keptAt]) {
      expect(statSync(path).mode & 0o077, path).toBe(0);
    }
    // Passed on, it is as old as it is.
    const c = new Laptop('S. Rowan');
    await c.takeIn(await b.pack());
    expect(statSync(at(c)).mtimeMs).toBe((day + 100) * 1000);
  });

  test('an older one does not come, nor one that lifts a withdrawal', async () => {
    const [a, b] = await technicians();
    write(a, '# older\n', day - 100);
    const older = await b.takeIn(await a.pack());
    expect(older.json.manifests).toMatchObject({ replaced: [], notTaken: [release] });
    expect(older.json.findings).toMatchObject([{ code: 'manifest-differs', severity: 'warn' }]);
    write(b, 'withdrawn: { on: 2026-11-21, why: It stops }\n', day);
    write(a, '# newer\n', day + 100);
    const lifted = await b.takeIn(await a.pack());
    expect(lifted.json.manifests.notTaken).toEqual([release]);
    expect(readFileSync(at(b), 'utf8')).toContain('withdrawn');
  });

  test('new ones come into their folders; a link on the way is not followed', async () => {
    const [a, b] = await technicians();
    const outside = join(folder, 'outside');
    for (const each of [join(a.workspace.path, 'manifests', 'deep'), outside]) mkdirSync(each);
    write(a, '# in a folder\n', day, 'deep/more.yaml');
    const packet = await a.pack();
    const c = new Laptop('S. Rowan');
    expect((await c.takeIn(packet)).json.manifests.added).toEqual(['deep/more.yaml']);
    symlinkSync(outside, join(b.workspace.path, 'manifests', 'deep'));
    const { json } = await b.takeIn(packet);
    expect(json.manifests.notTaken).toEqual(['deep/more.yaml']);
    expect(readdirSync(outside)).toEqual([]);
  });

  test('names that lead elsewhere are refused with the whole packet', async () => {
    const [, b] = await technicians();
    const packet = join(folder, 'evil');
    for (const name of ['../evil.yaml', '/tmp/evil.yaml', 'x/../../evil.yaml', 'C:\\evil.yaml']) {
      writeFileSync(packet, packetText({ manifests: [manifestLine(name, 'x')] }));
      const { exit, json } = await b.takeIn(packet);
      expect([exit, json.findings[0].code], name).toEqual([3, 'packet-unsound']);
    }
    expect(readdirSync(b.workspace.path).filter((name) => name.startsWith('evil'))).toEqual([]);
  });

  test('news that is old is told, and never from the future', async () => {
    const [a, b] = await technicians();
    for (const laptop of [a, b])
      for (const file of readdirSync(join(laptop.workspace.path, 'manifests')))
        utimesSync(at(laptop, file), day - 900_000, day - 900_000);
    const packed = await a.cli('record', 'pack', join(folder, 'old'));
    expect(packed.json.findings).toMatchObject([{ code: 'manifests-old' }]);
    expect((await b.takeIn(join(folder, 'old'))).json.findings).toMatchObject([{ code: 'manifests-old' }]);
    const future = manifestLine('soon.yaml', 'x: 1\n', { modified: '2036-01-01T00:00:00.000+00:00' });
    writeFileSync(join(folder, 'future'), packetText({ manifests: [future] }));
    await b.takeIn(join(folder, 'future'));
    expect(statSync(at(b, 'soon.yaml')).mtimeMs).toBeLessThan(Date.UTC(2026, 10, 26));
  });
});

describe('without names', () => {
  const names = ['R. Quill', 'M. Tansy', 'J. Fennel', 'Ms Bracken'];
  async function named(): Promise<Laptop> {
    const [a, b] = await technicians();
    await a.cli('units', 'add', pumpSerial(3), '--site', 'Cedar', '--contact', 'Ms Bracken, +00 555 0199');
    // Whom to call at the new site comes with the move, too.
    await a.cli('units', 'add', pumpSerial(4), '--site', 'Birch Yard');
    await a.cli('units', 'move', pumpSerial(4), '--to', 'Cedar');
    await a.cli(
      'log',
      one,
      'failed',
      '--cause',
      'card',
      '--by',
      'J. Fennel',
      '--told',
      'Ms Bracken',
      '--note',
      'M. Tansy and J. Fennel saw it',
    );
    await b.takeIn(await a.pack());
    const id = (await b.cli('units', 'show', one)).json.entries.at(-1).id;
    await b.cli('log', '--corrects', id, '--cause', 'unit', '--why', 'J. Fennel rang');
    await a.takeIn(await b.pack());
    return a;
  }

  test('no name is in it, marks are the same each time, and what it adds up to is the same', async () => {
    const a = await named();
    const path = await a.pack('--no-names');
    const text = readFileSync(path, 'utf8');
    for (const name of names) expect(text, name).not.toContain(name);
    const ids = recordRows(a.workspace.record).map((row) => row);
    for (const { hash } of ids)
      expect(text, 'a hash from which a name could be tried out').not.toContain(hash);
    const reader = new Laptop('reader');
    const taken = await reader.takeIn(path);
    expect([taken.exit, taken.json.names]).toEqual([0, 'replaced']);
    expect(taken.json.findings).toMatchObject([{ code: 'names-replaced', severity: 'warn' }]);
    expect((await reader.cli('record', 'check')).json.verdict).toBe('intact');
    const [ours, theirs] = [await a.cli('audit'), await reader.cli('audit')];
    expect(theirs.json.counts).toEqual(ours.json.counts);
    const figures = ({ json }: CliResult) =>
      json.releases.map(({ release, tried, failed, rule }: any) => [release, tried, failed, rule]);
    expect(figures(theirs)).toEqual(figures(ours));
    const shown = (await reader.cli('units', 'show', one)).json;
    expect(shown.unit.status).toBe('failed');
    expect(
      shown.entries.filter(({ correctedBy }: { correctedBy: string | null }) => correctedBy !== null),
    ).toHaveLength(1);
    const by = (entries: { doneBy: string }[]) => entries.map(({ doneBy }) => doneBy);
    const marks = by(shown.entries);
    expect(new Set(marks).size).toBe(new Set(by((await a.cli('units', 'show', one)).json.entries)).size);
    // Taken in again after more was written: the same chains go on.
    await a.cli('log', two, 'note', '--note', 'x');
    const again = await reader.takeIn(await a.pack('--no-names'));
    expect([again.exit, again.json.added]).toEqual([0, 1]);
  });

  test('it is taken in nowhere beside real chains, nor real chains beside it', async () => {
    const a = await named();
    const [nameless, real] = [await a.pack('--no-names'), await a.pack()];
    const other = new Laptop('S. Rowan');
    await other.cli('units', 'add', pumpSerial(4), '--site', 'Oak');
    const refused = await other.takeIn(nameless);
    expect([refused.exit, refused.json.added, refused.json.findings[0].code]).toEqual([
      3,
      0,
      'names-replaced',
    ]);
    expect((await a.takeIn(nameless)).exit).toBe(3);
    const reader = new Laptop('reader');
    await reader.takeIn(nameless);
    const back = await reader.takeIn(real);
    expect([back.exit, back.json.findings[0].code]).toEqual([3, 'record-stands-in']);
    // Packed from there it still says what it is.
    expect((await a.takeIn(await reader.pack())).json.findings[0].code).toBe('names-replaced');
  });

  test('what a packet holds about people is told', async () => {
    const a = await named();
    const { json } = await a.cli('record', 'pack', join(folder, 'told'));
    expect(json.people).toEqual({ firm: 3, site: 2, names: ['J. Fennel', 'M. Tansy', 'R. Quill'] });
    const said = await runCli(['record', 'pack', join(folder, 'told-2')], { workspace: a.workspace.path });
    expect(said.stdout).toContain('3 names of people who worked or typed (J. Fennel, M. Tansy, R. Quill)');
    expect(said.stdout).toContain('--no-names');
    const without = await runCli(['record', 'pack', join(folder, 'told-3'), '--no-names'], {
      workspace: a.workspace.path,
    });
    expect(without.stdout.replace(/\s+/g, ' ')).toContain('cannot be compared with the record to the letter');
    expect(statSync(join(a.workspace.path, 'name-key')).mode & 0o777).toBe(0o600);
  });
});

test('all that is written into a workspace belongs to its user alone', async () => {
  const [a] = await technicians();
  writeFileSync(join(folder, 'door.jpg'), 'a door');
  await a.cli('log', one, 'note', '--note', 'x', '--photo', join(folder, 'door.jpg'));
  const packet = await a.pack();
  const fresh = join(folder, 'fresh');
  const cli = (...args: string[]) => runCli([...args, '--json', '--as', 'M. Tansy'], { workspace: fresh });
  expect((await cli('record', 'take-in', packet)).exit).toBe(0);
  await cli('log', one, 'note', '--note', 'x', '--photo', join(folder, 'door.jpg'));
  await cli('sheet', 'rill-40', '--unit', one);
  await cli('record', 'pack', join(folder, 'again.packet'));
  const written = readdirSync(fresh, { recursive: true, encoding: 'utf8' });
  expect(written.length).toBeGreaterThan(10);
  for (const path of ['.', ...written]) {
    expect((statSync(join(fresh, path)).mode & 0o077).toString(8), path).toBe('0');
  }
});
