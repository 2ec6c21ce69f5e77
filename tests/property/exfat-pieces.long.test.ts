// An exFAT card mounted by exfat-fuse, its firmware file in pieces, for a unit that reads it from one: `prepare` writes it
// anew by its files, and the card itself, looked at by the tests' own arithmetic and by fsck.exfat, has it in one run. Needs
// a loop device and /dev/fuse, as root; where a machine has none it says so and counts as skipped.

import { execFileSync, spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { beforeAll, expect, test } from 'vitest';
import { run } from '../../src/commands/prepare.ts';
import { makeSparseFile } from '../support/card-images.ts';
import { imageName } from '../support/card-workspace.ts';
import { ExfatPlant, fsckExfat } from '../support/exfat-images.ts';
import { requireTools } from '../support/judges-setup.ts';
import { cardImage, mountedBench, mountedRule } from '../support/mounted-bench.ts';

const canMount =
  existsSync('/dev/fuse') && process.getuid?.() === 0 && spawnSync('losetup', ['-f']).status === 0;
if (!canMount) console.log('exfat-fuse is not tried here: it takes root, /dev/fuse and a loop device');

beforeAll(() => {
  if (canMount) requireTools({ 'mount.exfat-fuse': 'exfat-fuse', 'mkfs.exfat': 'exfatprogs' });
}, 120_000);

const clusterBytes = 4096;

/** How many runs the image's clusters make, along the FAT. */
function piecesOnCard(card: Uint8Array): number {
  const plant = new ExfatPlant(card);
  const set = plant.fileEntry(imageName);
  if (((card[set + 33] ?? 0) & 2) !== 0) return 1;
  let pieces = 1;
  let cluster = plant.view.getUint32(set + 52, true);
  for (let left = Math.ceil(cardImage.length / plant.clusterBytes); left > 1; left--) {
    const next = plant.fat(cluster);
    if (next !== cluster + 1) pieces++;
    cluster = next;
  }
  return pieces;
}

/** Only holes of one cluster are left before the image is written; afterwards `room` of the rest goes again. */
function layInPieces(mount: string, room: boolean): void {
  const names: string[] = [];
  try {
    for (let i = 0; i < 20_000; i++) {
      const name = join(mount, `F${i}`);
      writeFileSync(name, Buffer.alloc(clusterBytes, 1));
      names.push(name);
    }
  } catch (error) {
    expect((error as NodeJS.ErrnoException).code).toBe('ENOSPC');
    rmSync(join(mount, `F${names.length}`), { force: true });
  }
  names.filter((_, i) => i % 2 === 1 && i > 100).forEach((name) => void rmSync(name));
  writeFileSync(join(mount, imageName), cardImage);
  if (room) names.filter((_, i) => i % 2 === 0 || i <= 100).forEach((name) => void rmSync(name));
}

interface Mounted {
  readonly device: string;
  readonly mount: string;
}

async function withMounted(mountAt: string, use: (mounted: Mounted) => Promise<void>): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'fuse-'));
  const path = join(folder, 'card.img');
  makeSparseFile(path, 4 << 20);
  execFileSync('mkfs.exfat', ['-c', String(clusterBytes), path], { stdio: 'ignore' });
  const device = execFileSync('losetup', ['-f', '--show', path], { encoding: 'utf8' }).trim();
  try {
    execFileSync('mount.exfat-fuse', [device, mountAt], { stdio: 'ignore' });
    try {
      await use({ device, mount: mountAt });
    } finally {
      spawnSync('umount', [mountAt], { stdio: 'ignore' });
    }
  } finally {
    execFileSync('losetup', ['-d', device]);
    rmSync(folder, { recursive: true, force: true });
  }
}

test.skipIf(!canMount).each([
  ['with room elsewhere', true],
  ['in pieces again as long as strays hold the room, in one once they are gone', false],
] as const)('%s', async (_, room) => {
  let device = '';
  const made = mountedBench({
    rule: mountedRule.replace(/ }$/, ', contiguous: true }'),
    answers: [
      ['Write to', true],
      ['Who is working?', 'R. Quill'],
      ...(room
        ? []
        : ([
            ['Write to', true],
            ['Who is working?', 'R. Quill'],
          ] as const)),
    ],
    device: () => readFileSync(device),
  });
  const prepare = async () => {
    const { json } = await run(made.context, [made.card], { for: 'rill-40', from: made.download });
    return json as Record<string, any>;
  };
  try {
    await withMounted(made.card, async (mounted) => {
      device = mounted.device;
      made.state.onUnmount = () => void execFileSync('umount', [made.card]);
      made.state.drive = { ...made.state.drive, partitionTable: null };
      layInPieces(made.card, room);
      execFileSync('sync', ['-f', made.card]);
      let json = await prepare();
      if (!room) {
        // The kept copies of all those files are no matter here; the answer is, and that the card is as it should be.
        expect(json.findings.map((one: any) => one.code)).toContain('image-fragmented');
        expect(json.verdict).toBe('not-ready');
        expect(piecesOnCard(readFileSync(device))).toBeGreaterThan(1);
        execFileSync('mount.exfat-fuse', [device, made.card], { stdio: 'ignore' });
        made.state.isMounted = true;
        json = await prepare();
      }
      expect(json.findings.filter((one: any) => one.severity === 'stop')).toEqual([]);
      expect(json).toMatchObject({ verdict: 'ready', readBack: { method: 'direct' } });
      expect(json.plan.map((step: any) => step.do)).toEqual(['remove', 'write']);
      const card = readFileSync(device);
      expect(piecesOnCard(card)).toBe(1);
      expect(fsckExfat(new Uint8Array(card)).exit).toBe(0);
    });
  } finally {
    made.close();
  }
});
