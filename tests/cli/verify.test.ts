// `verify` as a person calls it, on files made here; sha256sum is the judge of what it says of them.

import { execFileSync } from 'node:child_process';
import { randomBytes } from 'node:crypto';
import {
  chmodSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join, relative } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { requireRelease } from '../../src/manifest/catalogue.ts';
import { demoDownload, demoImage } from '../../src/manifest/demo-firmware.ts';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { demoCatalogue } from '../support/demo-world.ts';
import { runCli } from '../support/run-cli.ts';
import { makeLockedZip, makeZip } from '../support/zip-files.ts';

const { folder, workspace } = makeDemoWorkspace();
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const catalogue = demoCatalogue();
const hearth = requireRelease(catalogue, 'hearth-90@2.6.0');
const image = demoImage(hearth);
const zip = demoDownload(hearth).bytes;

let count = 0;
/** In a folder of its own, so that its name is free to choose. */
function put(name: string, bytes: Uint8Array | string): string {
  const own = join(folder, `f${++count}`);
  mkdirSync(own);
  const path = join(own, name);
  writeFileSync(path, bytes);
  return path;
}

const verify = (path: string, ...more: string[]) =>
  runCli(['verify', path, '--json', ...more], { workspace });
const codes = (json: any) => json.findings.map((finding: any) => `${finding.severity} ${finding.code}`);
const flipped = (bytes: Uint8Array, at: number) => {
  const copy = Buffer.from(bytes);
  copy[at]! ^= 1;
  return copy;
};

describe('a good download', () => {
  it('matches as the image, and is remembered', async () => {
    const path = put('HEARTH.TFW', image);
    const { exit, json, stderr } = await verify(path);
    expect(json).toEqual({
      command: 'verify',
      verdict: 'matches',
      file: path,
      bytes: image.length,
      digests: expect.objectContaining({
        sha256: execFileSync('sha256sum', [path]).toString().split(' ')[0],
        sha512: execFileSync('sha512sum', [path]).toString().split(' ')[0],
      }),
      release: { product: 'hearth-90', version: '2.6.0', as: 'image' },
      findings: [],
    });
    expect([exit, stderr]).toEqual([0, '']);
    const note = JSON.parse(readFileSync(join(workspace, 'downloads', 'hearth-90@2.6.0.json'), 'utf8'));
    expect(note).toMatchObject({ path, bytes: image.length, digests: json.digests, as: 'image' });
    expect(new Date(note.at).toISOString()).toBe(note.at);
  });

  it("matches as the maker's zip, still packed", async () => {
    const { exit, json } = await verify(put('hearth-90-2.6.0.zip', zip));
    expect([exit, json.verdict, json.release, json.member, codes(json)]).toEqual([
      0,
      'matches',
      { product: 'hearth-90', version: '2.6.0', as: 'download' },
      'hearth-90/HEARTH.TFW',
      ['note still-packed'],
    ]);
  });

  it('matches in a zip that somebody made, deflated, beside other files', async () => {
    const path = put('mine.zip', '');
    makeZip(path, [
      { name: '../../x', bytes: Buffer.from('x') },
      { name: 'HEARTH.TFW', bytes: image },
    ]);
    const { exit, json } = await verify(path);
    expect([exit, json.verdict, codes(json)]).toEqual([0, 'matches', ['note still-packed']]);
  });

  it.each(['HEARTH (1).TFW', 'hearth.tfw', 'firmware.bin', 'HEARTH.TFW.zip'])(
    'under the name %s is renamed',
    async (name) => {
      const { exit, json } = await verify(put(name, image));
      expect([exit, json.verdict, codes(json)]).toEqual([0, 'matches', ['warn renamed']]);
      expect(json.findings[0]).toMatchObject({ seen: name, expected: 'HEARTH.TFW' });
    },
  );

  it('of every release of the demonstration is known', async () => {
    for (const release of catalogue.releases) {
      const { json } = await verify(put(release.image.name, demoImage(release)));
      expect(json.release, release.version).toEqual({
        product: release.product,
        version: release.version,
        as: 'image',
      });
      expect(json.verdict).toBe(release.withdrawn ? 'differs' : 'matches');
    }
  });

  it('is told to people with the most important line last', async () => {
    const { exit, stdout } = await runCli(['verify', put('HEARTH (1).TFW', image)], { workspace });
    expect(exit).toBe(0);
    expect(stdout).toMatch(/WARN[\s\S]*\[renamed\]/);
    expect(stdout.trimEnd().split('\n').at(-1)).toBe('matches: the firmware file of hearth-90@2.6.0');
  });

  it('may be named by a relative path or through a link; JSON names it whole', async () => {
    const path = put('HEARTH.TFW', image);
    expect((await verify(relative(process.cwd(), path))).json.file).toBe(path);
    const link = join(folder, 'LINK.TFW');
    symlinkSync(path, link);
    expect((await verify(link)).json.verdict).toBe('matches');
  });
});

describe('a download that is not what the maker published', () => {
  const page = '<!DOCTYPE html>\n<html><title>Log in</title></html>\n';
  it.each([
    ['cut short', 'HEARTH.TFW', () => image.subarray(0, 100_000), 'truncated'],
    ['still arriving', 'HEARTH.TFW.part', () => image.subarray(0, 100_000), 'truncated'],
    ['empty', 'HEARTH.TFW', () => '', 'truncated'],
    ['one byte short', 'HEARTH.TFW', () => image.subarray(0, -1), 'truncated'],
    ['one byte longer', 'HEARTH.TFW', () => Buffer.concat([image, Buffer.from([10])]), 'too-long'],
    ['one bit changed at the start', 'HEARTH.TFW', () => flipped(image, 0), 'digest-mismatch'],
    ['one bit changed at the end', 'HEARTH.TFW', () => flipped(image, image.length - 1), 'digest-mismatch'],
    ['one bit changed, under no known name', 'x.bin', () => flipped(image, 7), 'digest-mismatch'],
    ['a login page', 'HEARTH.TFW', () => page, 'web-page'],
    ['a login page with an ending of its own', 'HEARTH.TFW.html', () => page, 'web-page'],
    ['a login page for a zip', 'hearth-90-2.6.0.zip', () => page, 'web-page'],
    ['a zip cut short', 'hearth-90-2.6.0 (2).zip', () => zip.subarray(0, 1000), 'truncated'],
    ['a zip with one bit changed', 'hearth-90-2.6.0.zip', () => flipped(zip, 5000), 'digest-mismatch'],
  ])('%s', async (_, name, bytes, code) => {
    const { exit, json } = await verify(put(name, bytes()));
    expect([exit, json.verdict, codes(json)]).toEqual([3, 'differs', [`stop ${code}`]]);
    expect(json.release).toMatchObject({ product: 'hearth-90', version: '2.6.0' });
    expect(json.findings[0].next.length).toBeGreaterThan(10);
  });

  it('is not remembered', async () => {
    const before = readFileSync(join(workspace, 'downloads', 'hearth-90@2.6.0.json'), 'utf8');
    await verify(put('HEARTH.TFW', flipped(image, 3)));
    expect(readFileSync(join(workspace, 'downloads', 'hearth-90@2.6.0.json'), 'utf8')).toBe(before);
  });

  it('a zip that holds the image with one bit changed', async () => {
    const path = put('mine.zip', '');
    makeZip(path, [{ name: 'HEARTH.TFW', bytes: flipped(image, 9) }]);
    const { exit, json } = await verify(path);
    expect([exit, json.verdict, codes(json)]).toEqual([3, 'differs', ['stop digest-mismatch']]);
    expect(json.findings[0].where).toBe(`${path}: HEARTH.TFW`);
  });

  describe('a zip whose firmware file, of random bytes and the right length, cannot be read', () => {
    const random = randomBytes(image.length);
    const signatures: Buffer[] = [0x04034b50, 0x02014b50].map((signature) => {
      const bytes = Buffer.alloc(4);
      bytes.writeUInt32LE(signature);
      return bytes;
    });
    /** Changes a field of the one member's local and central header (APPNOTE 4.3.7, 4.3.12). */
    function patch(path: string, change: (zip: Buffer, local: number, central: number) => void): void {
      const bytes = readFileSync(path);
      change(bytes, bytes.indexOf(signatures[0]!), bytes.lastIndexOf(signatures[1]!));
      writeFileSync(path, bytes);
    }
    const decoys = Array.from({ length: 16 }, (_, i) => ({ name: `decoy-${i}`, bytes: random }));
    it.each([
      [
        'a wrong checksum',
        [],
        (path: string) =>
          patch(path, (bytes, local, central) => {
            bytes.writeUInt32LE(1, local + 14);
            bytes.writeUInt32LE(1, central + 16);
          }),
      ],
      [
        'marked as encrypted',
        [],
        (path: string) =>
          patch(path, (bytes, local, central) => {
            bytes[local + 6]! |= 1;
            bytes[central + 8]! |= 1;
          }),
      ],
      ['behind sixteen others of its size', decoys, () => {}],
    ])('%s', async (_, before, damage) => {
      const remembered = join(workspace, 'downloads', 'hearth-90@2.6.0.json');
      await verify(put('HEARTH.TFW', image));
      const good = readFileSync(remembered, 'utf8');
      const path = put('mine.zip', '');
      makeZip(path, [...before, { name: 'HEARTH.TFW', bytes: random }]);
      damage(path);
      const { exit, json } = await verify(path);
      expect([exit, json.verdict, codes(json)]).toEqual([3, 'differs', ['stop archive-not-read']]);
      expect(json.findings[0].next.length).toBeGreaterThan(10);
      expect(readFileSync(remembered, 'utf8')).toBe(good);
    });
  });

  it('a withdrawn release: withdrawn is the only stop', async () => {
    const { exit, json } = await verify(
      put('HEARTH.TFW', demoImage(requireRelease(catalogue, 'hearth-90@2.5.3'))),
    );
    expect([exit, json.verdict, codes(json)]).toEqual([3, 'differs', ['stop withdrawn']]);
    expect(json.findings[0].summary).toContain('revision A');
    expect(existsSync(join(workspace, 'downloads', 'hearth-90@2.5.3.json'))).toBe(false);
  });
});

describe('a file that no manifest knows', () => {
  it.each([
    ['another file', 'notes.txt', 'nothing of ours'],
    ['an empty one', 'empty', ''],
    ['a web page', 'page.html', '<html><body></body></html>'],
  ])('%s is unknown', async (_, name, bytes) => {
    const { exit, json } = await verify(put(name, bytes));
    expect([exit, json.verdict, json.release, codes(json)]).toEqual([
      3,
      'unknown',
      null,
      ['stop not-in-manifests'],
    ]);
    expect(Object.keys(json.digests)).toEqual(['sha256']);
  });

  it('a zip of other things, or under a password', async () => {
    const other = put('other.zip', '');
    makeZip(other, [{ name: 'a', bytes: Buffer.from('x') }]);
    expect((await verify(other)).json.verdict).toBe('unknown');
    const secret = put('SECRET.BIN', image);
    const locked = join(secret, '..', 'locked.zip');
    makeLockedZip(join(secret, '..'), locked, ['SECRET.BIN'], 'x');
    expect((await verify(locked)).json.verdict).toBe('unknown');
  });

  it('any file, in a workspace without manifests, which is not made', async () => {
    const none = join(folder, 'none');
    const { exit, json } = await runCli(['verify', put('HEARTH.TFW', image), '--json'], { workspace: none });
    expect([exit, json.verdict]).toEqual([3, 'unknown']);
    expect(json.findings[0].next).toContain('manifests');
    expect(existsSync(none)).toBe(false);
  });
});

describe('what is no file', () => {
  it.each([
    ['an absent one', () => join(folder, 'absent'), 'file-absent'],
    ['a folder', () => folder, 'folder-not-file'],
    ['a device', () => '/dev/null', 'not-a-file'],
  ])('%s is wrong use', async (_, path, code) => {
    const { exit, json } = await verify(path());
    expect([exit, json.error.code]).toEqual([2, code]);
    expect(json.error.next.length).toBeGreaterThan(5);
  });

  it('nothing at all', async () => {
    expect((await runCli(['verify'], { workspace })).exit).toBe(2);
  });
});

describe('the workspace', () => {
  it('that cannot be written does not make a good download bad: a notice', async () => {
    const other = makeDemoWorkspace();
    // A file where the folder should be: not even an administrator can make the folder.
    writeFileSync(join(other.workspace, 'downloads'), 'in the way');
    const { exit, json, stderr } = await runCli(['verify', put('HEARTH.TFW', image), '--json'], {
      workspace: other.workspace,
    });
    expect([exit, json.verdict]).toEqual([0, 'matches']);
    expect(stderr).toContain('Not remembered');
    expect(readFileSync(join(other.workspace, 'downloads'), 'utf8')).toBe('in the way');
    rmSync(other.folder, { recursive: true });
  });

  it('with an unsound manifest says so and goes on with the others', async () => {
    const other = makeDemoWorkspace();
    writeFileSync(join(other.workspace, 'manifests', 'x.yaml'), 'manifest: product\nid: [');
    const { exit, stderr } = await runCli(['verify', put('HEARTH.TFW', image)], {
      workspace: other.workspace,
    });
    expect(exit).toBe(0);
    expect(stderr).toContain('slotproof manifests check');
    rmSync(other.folder, { recursive: true });
  });

  it('is not changed by what differs or is unknown', async () => {
    const other = makeDemoWorkspace();
    await runCli(['verify', put('HEARTH.TFW', 'x')], { workspace: other.workspace });
    await runCli(['verify', put('other', 'x')], { workspace: other.workspace });
    // Manifests as last read, kept only to be quicker, and what was there.
    expect(readdirSync(other.workspace).sort()).toEqual(['catalogue.json', 'manifests']);
    chmodSync(other.workspace, 0o700);
    rmSync(other.folder, { recursive: true });
  });
});

it('control characters in a name never reach the terminal', async () => {
  const { stdout } = await runCli(['verify', put('a\u001b[2J\u202ex.bin', 'x')], { workspace });
  expect(stdout).not.toMatch(/[\u001b\u202e]/);
  expect(stdout).toContain('\\x1b[2J\\u202ex.bin');
});
