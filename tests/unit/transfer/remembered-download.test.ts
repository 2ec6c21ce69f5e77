import {
  chmodSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { localFiles } from '../../../src/adapters/files/local-files.ts';
import { openWorkspace } from '../../../src/adapters/workspace/local-workspace.ts';
import { requireRelease } from '../../../src/manifest/catalogue.ts';
import { recallDownload, rememberDownload } from '../../../src/transfer/remembered-download.ts';
import { demoCatalogue } from '../../support/demo-world.ts';

const folder = mkdtempSync(join(tmpdir(), 'slotproof-remembered-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const release = requireRelease(demoCatalogue(), 'hearth-90');
let count = 0;
const newWorkspace = () => openWorkspace(join(folder, `w${++count}`), () => {});

function remembered() {
  const workspace = newWorkspace();
  const path = join(folder, 'HEARTH.TFW');
  writeFileSync(path, 'abc');
  const note = {
    path,
    bytes: 3,
    digests: { md5: 'cd'.repeat(16), sha256: 'ab'.repeat(32) },
    as: 'image',
    at: '2026-11-24T20:00:00.000Z',
    stamp: '1:2:3:4:5',
  } as const;
  rememberDownload(localFiles, workspace, release, note);
  return { workspace, note, file: join(workspace.downloads, 'hearth-90@2.6.0.json') };
}

describe('a verified download', () => {
  it('is remembered under its release, and recalled', () => {
    const { workspace, note, file } = remembered();
    expect(JSON.parse(readFileSync(file, 'utf8'))).toEqual(note);
    expect(readdirSync(workspace.downloads)).toEqual(['hearth-90@2.6.0.json']);
    expect(recallDownload(localFiles, workspace, release)).toEqual(note);
    expect(recallDownload(localFiles, workspace, requireRelease(demoCatalogue(), 'hearth-90@2.5.0'))).toBe(
      undefined,
    );
  });

  it('gives way to a later one', () => {
    const { workspace, note } = remembered();
    rememberDownload(localFiles, workspace, release, { ...note, as: 'download' });
    expect(recallDownload(localFiles, workspace, release)?.as).toBe('download');
  });
});

describe('nothing is recalled', () => {
  it('in a workspace that is not there, and none is made', () => {
    const workspace = newWorkspace();
    expect(recallDownload(localFiles, workspace, release)).toBe(undefined);
    expect(existsSync(workspace.root)).toBe(false);
  });

  it.each([
    '',
    '{',
    'null',
    '[]',
    '{}',
    '"x"',
    '{"path":5}',
    '{"path":"/x","bytes":"3","digests":{"sha256":"a"},"as":"image"}',
    'x'.repeat(20_000),
  ])('of a note that reads %j', (text) => {
    const { workspace, file } = remembered();
    writeFileSync(file, text);
    expect(recallDownload(localFiles, workspace, release)).toBe(undefined);
  });

  it('of a file that has gone, has another size, or became a folder', () => {
    const { workspace, note } = remembered();
    writeFileSync(note.path, 'abcd');
    expect(recallDownload(localFiles, workspace, release)).toBe(undefined);
    rmSync(note.path);
    expect(recallDownload(localFiles, workspace, release)).toBe(undefined);
    mkdirSync(note.path);
    expect(recallDownload(localFiles, workspace, release)).toBe(undefined);
    rmSync(note.path, { recursive: true });
    chmodSync(workspace.downloads, 0o700);
  });
});
