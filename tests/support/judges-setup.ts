// Makes sure that the stock tools which judge our work are there before a test runs: installs Debian's
// packages where it may, else says which are missing and stops. A missing judge never becomes a skipped test.
import { spawnSync } from 'node:child_process';

const packageOf: Record<string, string> = {
  'mkfs.fat': 'dosfstools',
  'fsck.fat': 'dosfstools',
  mcopy: 'mtools',
  sfdisk: 'fdisk',
  sgdisk: 'gdisk',
  'mkfs.exfat': 'exfatprogs',
  'mkfs.ntfs': 'ntfs-3g',
  'mkfs.ext4': 'e2fsprogs',
  sqlite3: 'sqlite3',
  strace: 'strace',
  python3: 'python3',
  zip: 'zip',
  unzip: 'unzip',
  tmux: 'tmux',
  pdftotext: 'poppler-utils',
  pdftoppm: 'poppler-utils',
  zbarimg: 'zbar-tools',
  'ssh-keygen': 'openssh-client',
  'ssh-agent': 'openssh-client',
};

const searchPath = `${process.env.PATH ?? ''}:/usr/sbin:/sbin`;

type Tools = Readonly<Record<string, string>>;

function missingPackages(tools: Tools): string[] {
  const missing = Object.entries(tools).filter(
    ([tool]) => spawnSync('sh', ['-c', `command -v ${tool}`], { env: { PATH: searchPath } }).status !== 0,
  );
  return [...new Set(missing.map(([, name]) => name))];
}

/** Tool -> Debian's package of it. */
export function requireTools(tools: Tools): void {
  process.env.PATH = searchPath;
  const missing = missingPackages(tools);
  if (missing.length === 0) return;
  if (process.getuid?.() === 0) {
    console.error(`installing what the tests judge with: ${missing.join(' ')}`);
    spawnSync('sh', ['-c', `apt-get update -q && apt-get install -y -q ${missing.join(' ')}`], {
      stdio: 'ignore',
    });
  }
  const still = missingPackages(tools);
  if (still.length > 0) {
    throw new Error(
      `The tests need these Debian packages: ${still.join(' ')}. Install them with apt-get and run again.`,
    );
  }
}

export default function setup(): void {
  requireTools(packageOf);
}
