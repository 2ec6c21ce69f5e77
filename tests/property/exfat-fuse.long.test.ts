// exFAT volumes filled by exfat-fuse: random folders, files, deletions and names, then read by us. Everything that was
// written must come back, byte by byte, and nothing may be found wrong that fsck.exfat does not find. Needs a loop device
// and /dev/fuse, as root; where a machine has none it says so and counts as skipped.

import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { examineCard } from '../../src/card/look/examine-card.ts';
import type { FileNode } from '../../src/card/look/examined-card.ts';
import { digestFile } from '../../src/card/look/read-file.ts';
import { makeSparseFile } from '../support/card-images.ts';
import { fsckExfat } from '../support/exfat-images.ts';
import { seededNumbers } from '../support/faulty-blocks.ts';
import { requireTools } from '../support/judges-setup.ts';
import { memoryBlocks } from '../support/memory-blocks.ts';

const rounds = 12;
const seed = Number(process.env.SLOTPROOF_SEED ?? Math.floor(Math.random() * 1e9));
const canMount =
  existsSync('/dev/fuse') && process.getuid?.() === 0 && spawnSync('losetup', ['-f']).status === 0;
if (!canMount) console.log('exfat-fuse is not tried here: it takes root, /dev/fuse and a loop device');

beforeAll(() => {
  if (canMount) requireTools({ 'mount.exfat-fuse': 'exfat-fuse', 'mkfs.exfat': 'exfatprogs' });
}, 120_000);

const sha256 = (bytes: Uint8Array) => createHash('sha256').update(bytes).digest('hex');

function filesUnder(folder: string, at = ''): string[] {
  return readdirSync(join(folder, at)).flatMap((name) => {
    const path = at === '' ? name : `${at}/${name}`;
    return statSync(join(folder, path)).isDirectory() ? filesUnder(folder, path) : [path];
  });
}

/** Writes, overwrites, lengthens and deletes, so that files end up in pieces. */
function scramble(mount: string, random: () => number): void {
  const some = (count: number) => Math.floor(random() * count);
  const names = [
    'RILL40.FWU',
    'Größe',
    'a name that is rather longer than fifteen',
    'x',
    '日本',
    'ÇA.TXT',
    '.hidden',
    'z'.repeat(200),
  ];
  const folders = ['', 'DCIM', 'DCIM/100', 'Ärger', 'a/b/c/d'];
  for (const folder of folders) mkdirSync(join(mount, folder), { recursive: true });
  for (let step = 0; step < 150; step++) {
    const path = join(mount, folders[some(folders.length)] ?? '', `${names[some(names.length)]}${some(6)}`);
    if (random() < 0.25) rmSync(path, { force: true });
    else {
      const bytes = Buffer.alloc(some(60_000), some(256));
      for (let i = 0; i < bytes.length; i += 97) bytes[i] = some(256);
      writeFileSync(path, bytes, { flag: random() < 0.3 ? 'a' : 'w' });
    }
  }
}

test.skipIf(!canMount)(`${rounds} volumes from seed ${seed} (again: SLOTPROOF_SEED=${seed})`, async () => {
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-fuse-'));
  let pieces = 0;
  for (let round = 0; round < rounds; round++) {
    const random = seededNumbers(seed + round);
    const path = join(folder, 'card.img');
    const mount = join(folder, 'mount');
    mkdirSync(mount, { recursive: true });
    makeSparseFile(path, 24 << 20);
    execFileSync('mkfs.exfat', ['-c', ['512', '4096', '32768'][round % 3] ?? '4096', path], {
      stdio: 'ignore',
    });
    const device = execFileSync('losetup', ['-f', '--show', path], { encoding: 'utf8' }).trim();
    const written = new Map<string, string>();
    try {
      execFileSync('mount.exfat-fuse', [device, mount], { stdio: 'ignore' });
      try {
        scramble(mount, random);
        for (const file of filesUnder(mount)) written.set(file, sha256(readFileSync(join(mount, file))));
      } finally {
        execFileSync('umount', [mount]);
      }
    } finally {
      execFileSync('losetup', ['-d', device]);
    }
    const bytes = new Uint8Array(readFileSync(path));
    expect(fsckExfat(bytes).exit).toBe(0);
    const blocks = memoryBlocks(bytes);
    const card = examineCard(blocks);
    expect(
      card.findings.filter(({ code }) => code !== 'free-count-wrong'),
      `round ${round}`,
    ).toEqual([]);
    const found = (card.volume?.nodes ?? []).filter((node): node is FileNode => !node.isFolder);
    expect(found.map((file) => file.path).sort()).toEqual([...written.keys()].sort());
    for (const file of found) {
      const read = await digestFile(blocks, card.volume!, file, ['sha256']);
      expect(read?.sha256, file.path).toBe(written.get(file.path));
      pieces = Math.max(pieces, file.runs.length);
    }
  }
  rmSync(folder, { recursive: true, force: true });
  expect(pieces).toBeGreaterThan(3);
});
