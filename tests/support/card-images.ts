// Card images made by stock tools: mkfs.fat, sfdisk, sgdisk, mtools; and the same tools as judges of what is on
// them. Nothing here uses the code under test. Files are sparse and lie in folders that are removed at exit.

import { execFileSync, spawnSync } from 'node:child_process';
import {
  closeSync,
  ftruncateSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export interface CardRecipe {
  readonly sizeBytes: number;
  readonly table: 'none' | 'mbr' | 'gpt';
  readonly bits: 12 | 16 | 32;
  readonly sectorsPerCluster?: number;
  readonly bytesPerSector?: number;
  readonly label?: string;
  /** Eight hexadecimal digits; fixed unless given, so that images are the same in every run. */
  readonly volumeId?: string;
  /** Where the partition starts; 2048 unless given. */
  readonly startSector?: number;
  /** Its length; to the end of the card unless given (GPT: to the last usable sector). */
  readonly lengthSectors?: number;
  /** sfdisk unless given; sgdisk waits a second after each write. */
  readonly gptTool?: 'sfdisk' | 'sgdisk';
  /** MBR type byte as sfdisk takes it; by FAT type unless given. */
  readonly mbrType?: string;
  readonly active?: boolean;
  readonly fatCount?: number;
  readonly rootEntries?: number;
  /** Put on in this order. `path` with `/`; folders are made as needed. */
  readonly files?: readonly { readonly path: string; readonly bytes: Uint8Array }[];
}

const folders: string[] = [];
process.on('exit', () => {
  for (const folder of folders) rmSync(folder, { recursive: true, force: true });
});

/** A new empty folder that is removed when the process ends. */
export function temporaryFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 't-'));
  folders.push(folder);
  return folder;
}

function run(tool: string, args: readonly string[], input?: string): string {
  return execFileSync(tool, args, {
    encoding: 'utf8',
    stdio: ['pipe', 'pipe', 'pipe'],
    // mtools: no checks of its own against odd geometries, UTF-8 names, times as they are.
    env: { ...process.env, MTOOLS_SKIP_CHECK: '1', LC_ALL: 'C.UTF-8', TZ: 'UTC' },
    ...(input === undefined ? {} : { input }),
  });
}

export function makeSparseFile(path: string, sizeBytes: number): void {
  const handle = openSync(path, 'w');
  ftruncateSync(handle, sizeBytes);
  closeSync(handle);
}

const mbrTypes = { 12: '1', 16: '6', 32: 'c' } as const;
const basicDataGuid = 'EBD0A0A2-B9E5-4433-87C0-68B6B72699C7';

/** Start of the volume in sectors of 512 bytes. */
export function volumeStartSector(recipe: CardRecipe): number {
  return recipe.table === 'none' ? 0 : (recipe.startSector ?? 2048);
}

function volumeSectors(recipe: CardRecipe): number {
  const start = volumeStartSector(recipe);
  const all = Math.floor(recipe.sizeBytes / 512) - start - (recipe.table === 'gpt' ? 33 : 0);
  return recipe.lengthSectors ?? all;
}

/** Writes the card image file that the recipe describes. */
export function makeCardFile(path: string, recipe: CardRecipe): void {
  makeSparseFile(path, recipe.sizeBytes);
  const start = volumeStartSector(recipe);
  const length = volumeSectors(recipe);
  if (recipe.table === 'mbr') {
    const type = recipe.mbrType ?? mbrTypes[recipe.bits];
    const active = recipe.active ? ', bootable' : '';
    const table = `label: dos\nlabel-id: 0x5a5a1234\nstart=${start}, size=${length}, type=${type}${active}\n`;
    run('sfdisk', ['--quiet', '--no-reread', '--no-tell-kernel', path], table);
  }
  if (recipe.table === 'gpt' && recipe.gptTool === 'sgdisk') {
    run('sgdisk', [
      '--clear',
      '--set-alignment=1',
      '--disk-guid=11111111-2222-3333-4444-555555555555',
      `--new=1:${start}:${start + length - 1}`,
      `--typecode=1:${basicDataGuid}`,
      '--partition-guid=1:66666666-7777-8888-9999-AAAAAAAAAAAA',
      path,
    ]);
  } else if (recipe.table === 'gpt') {
    const uuid = '66666666-7777-8888-9999-AAAAAAAAAAAA';
    const head = 'label: gpt\nlabel-id: 11111111-2222-3333-4444-555555555555\nfirst-lba: 34\n';
    const table = `${head}start=${start}, size=${length}, type=${basicDataGuid}, uuid=${uuid}\n`;
    run('sfdisk', ['--quiet', '--no-reread', '--no-tell-kernel', path], table);
  }
  const args = ['--invariant', '-F', String(recipe.bits), '-i', recipe.volumeId ?? '1A2B3C4D'];
  if (recipe.sectorsPerCluster) args.push('-s', String(recipe.sectorsPerCluster));
  if (recipe.bytesPerSector) args.push('-S', String(recipe.bytesPerSector));
  if (recipe.label) args.push('-n', recipe.label);
  if (recipe.fatCount) args.push('-f', String(recipe.fatCount));
  if (recipe.rootEntries) args.push('-r', String(recipe.rootEntries));
  if (start > 0) args.push('--offset', String(start), '-h', String(start));
  // Alignment off: mkfs.fat would round the volume down to whole tracks of a disk geometry it makes up.
  args.push('-a', path, String(Math.floor(length / 2)));
  run('mkfs.fat', args);
  for (const file of recipe.files ?? []) putFile(path, recipe, file.path, file.bytes);
}

/** The same as bytes; `keep` gets the path of the file before it is removed. */
export function makeCardBytes(recipe: CardRecipe): Uint8Array<ArrayBuffer> {
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-card-'));
  try {
    const path = join(folder, 'card.img');
    makeCardFile(path, recipe);
    return new Uint8Array(readFileSync(path));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

type Placed = Pick<CardRecipe, 'table' | 'startSector'>;

/** What mtools takes as `-i`: the file, and where in it the volume begins. */
export function mtoolsVolume(path: string, placed: Placed): string {
  const start = placed.table === 'none' ? 0 : (placed.startSector ?? 2048);
  return start === 0 ? path : `${path}@@${start * 512}`;
}

/** Runs an mtool (`mdir`, `mattrib`, `mmd`, ...) on the volume. */
export function mtool(tool: string, path: string, placed: Placed, args: readonly string[]): string {
  return run(tool, ['-i', mtoolsVolume(path, placed), ...args]);
}

export function putFile(path: string, placed: Placed, target: string, bytes: Uint8Array): void {
  const parts = target.split('/');
  for (let depth = 1; depth < parts.length; depth++) {
    const folder = `::/${parts.slice(0, depth).join('/')}`;
    const there = spawnSync('mdir', ['-i', mtoolsVolume(path, placed), '-b', folder], {
      env: { ...process.env, MTOOLS_SKIP_CHECK: '1' },
    });
    if (there.status !== 0) mtool('mmd', path, placed, [folder]);
  }
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-put-'));
  try {
    writeFileSync(join(folder, 'bytes'), bytes);
    mtool('mcopy', path, placed, ['-o', join(folder, 'bytes'), `::/${target}`]);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A file's bytes as mtools reads them; undefined where it cannot. */
export function takeFile(path: string, placed: Placed, source: string): Uint8Array | undefined {
  const result = spawnSync('mcopy', ['-n', '-i', mtoolsVolume(path, placed), `::/${source}`, '-'], {
    env: { ...process.env, MTOOLS_SKIP_CHECK: '1', LC_ALL: 'C.UTF-8' },
    maxBuffer: 2 ** 30,
  });
  return result.status === 0 ? new Uint8Array(result.stdout) : undefined;
}

/** Every file by its full path as mtools sees it, `/`-separated without the drive, in its order. */
export function listFiles(path: string, placed: Placed): string[] {
  const text = mtool('mdir', path, placed, ['-/', '-a', '-b', '::/']);
  return text
    .split('\n')
    .filter((line) => line.startsWith('::/') && !line.endsWith('/'))
    .map((line) => line.slice(3));
}

/** What `fsck.fat -n` says of the volume; exit 0 is content. */
export function fsckFat(path: string, placed: Placed, lengthBytes?: number): { exit: number; text: string } {
  const start = placed.table === 'none' ? 0 : (placed.startSector ?? 2048);
  if (start === 0 && lengthBytes === undefined) return fsck(path);
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-fsck-'));
  try {
    const volume = join(folder, 'volume.img');
    const dd = [`if=${path}`, `of=${volume}`, 'bs=1M', 'iflag=skip_bytes,count_bytes', `skip=${start * 512}`];
    run('dd', [...dd, 'conv=sparse', ...(lengthBytes === undefined ? [] : [`count=${lengthBytes}`])]);
    return fsck(volume);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function fsck(path: string): { exit: number; text: string } {
  const result = spawnSync('fsck.fat', ['-n', path], { encoding: 'utf8' });
  return { exit: result.status ?? -1, text: result.stdout + result.stderr };
}
