// A real Linux kernel with real (emulated) card slots and USB readers, booted for a test: a kernel package of Debian's,
// its modules for cards, this computer's own node, lsblk and busybox, all in one memory disk. Software emulation, so it
// works everywhere; nothing of this computer but the folder that is shared with it can be reached from inside.

import { execFileSync, spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import {
  chmodSync,
  cpSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { createConnection } from 'node:net';
import { homedir, tmpdir } from 'node:os';
import { basename, dirname, join, resolve } from 'node:path';
import { aptGet } from './apt-get.ts';
import { type CardFaults, serveCards } from './card-server.ts';

const root = resolve(import.meta.dirname, '../..');
const cache = join(process.env.XDG_CACHE_HOME ?? join(homedir(), '.cache'), 'slotproof-card-guest');

const modules = [
  'virtio_pci',
  '9pnet_virtio',
  '9p',
  'sdhci-pci',
  'mmc_block',
  'xhci-pci',
  'usb-storage',
  'sd_mod',
  'vfat',
  'exfat',
  'nls_ascii',
  'nls_cp437',
  'nls_utf8',
  'nls_iso8859-1',
];

const neededTools: Readonly<Record<string, string>> = {
  'qemu-system-x86_64': 'qemu-system-x86',
  cpio: 'cpio',
  busybox: 'busybox-static',
  lsblk: 'util-linux',
  mount: 'mount',
  depmod: 'kmod',
  'mkfs.vfat': 'dosfstools',
  mcopy: 'mtools',
};

/** Of one tool that packs or unpacks, on a computer that is busy with other things. */
const toolSeconds = 300;
/** From asking the emulator to end until it is ended. */
const graceSeconds = 10;
/** What the emulator says in one line, at most. */
const mostUnreadBytes = 2 ** 20;

const bound = { timeout: toolSeconds * 1000, killSignal: 'SIGKILL' } as const;

const run = (command: string, args: readonly string[], cwd = root, input?: string) =>
  execFileSync(command, [...args], {
    cwd,
    input,
    encoding: 'utf8',
    maxBuffer: 2 ** 26,
    stdio: ['pipe', 'pipe', 'pipe'],
    ...bound,
  });

/** The kernel and the emulator's machine are of one kind, and this computer's own node runs inside. */
export function requireArchitecture(architecture: string = process.arch): void {
  if (architecture === 'x64') return;
  throw new Error(
    `The tests on a real kernel run on x64 computers alone; this one is ${architecture}: they are left out here.`,
  );
}

function which(name: string): string | undefined {
  const folders = `${process.env.PATH ?? ''}:/usr/sbin:/sbin`.split(':');
  return folders.map((folder) => join(folder, name)).find((path) => existsSync(path));
}

function requireTools(): void {
  const missing = Object.entries(neededTools).filter(([name]) => which(name) === undefined);
  if (missing.length === 0) return;
  const packages = missing.map(([, name]) => name);
  if (process.getuid?.() !== 0) throw new Error(`These packages are needed: ${packages.join(' ')}`);
  aptGet(['update']);
  aptGet(['install', '-y', '--no-install-recommends', ...packages]);
}

/** Copies a program and every library that it is linked to, to the same places. */
function copyLinked(program: string, into: string, at = program): void {
  const place = (path: string, to: string) => {
    mkdirSync(dirname(join(into, to)), { recursive: true });
    if (!existsSync(join(into, to))) cpSync(realpathSync(path), join(into, to));
  };
  place(program, at);
  for (const [, library] of run('ldd', [realpathSync(program)]).matchAll(/(?:=>\s+|^\s+)(\/\S+)/gm)) {
    if (library !== undefined) place(library, library);
  }
}

/** Paths of the modules and all that they need, in the order in which they are loaded. */
function loadOrder(folder: string): string[] {
  const needs = new Map<string, string[]>();
  for (const line of readFileSync(join(folder, 'modules.dep'), 'utf8').split('\n')) {
    const [path, rest] = line.split(':');
    if (path) needs.set(path, (rest ?? '').trim().split(' ').filter(Boolean));
  }
  const nameOf = (path: string) =>
    basename(path)
      .replace(/\.ko.*$/, '')
      .replaceAll('-', '_');
  const order: string[] = [];
  for (const name of modules) {
    const path = [...needs.keys()].find((one) => nameOf(one) === name.replaceAll('-', '_'));
    if (path === undefined) continue;
    for (const one of [...(needs.get(path) ?? []).toReversed(), path])
      if (!order.includes(one)) order.push(one);
  }
  return order;
}

const init = `#!/bin/busybox sh
/bin/busybox mkdir -p /proc /sys /dev /tmp /run /mnt/share /usr/bin /usr/sbin /sbin
/bin/busybox mount -t proc p /proc; /bin/busybox mount -t sysfs s /sys; /bin/busybox mount -t devtmpfs d /dev
/bin/busybox --install -s
export PATH=/usr/local/bin:/usr/bin:/bin:/usr/sbin:/sbin HOME=/root
mount -t tmpfs t /tmp; mount -t tmpfs t /run; ln -s /proc/mounts /etc/mtab
while read -r module; do insmod "/modules/$module" || echo "no $module"; done < /modules/order
mount -t 9p -o trans=virtio,version=9p2000.L,msize=262144 share /mnt/share || poweroff -f
sh /mnt/share/run.sh > /mnt/share/log 2>&1
sync; umount /mnt/share; poweroff -f
`;

function build(into: string): void {
  const work = mkdtempSync(join(tmpdir(), 'card-guest-'));
  const [debs, kernel, disk] = ['debs', 'kernel', 'disk'].map((name) => join(work, name)) as [
    string,
    string,
    string,
  ];
  for (const folder of [debs, kernel, disk, into]) mkdirSync(folder, { recursive: true });
  try {
    const depends = () => run('apt-cache', ['depends', 'linux-image-amd64']);
    if (!/Depends: linux-image-/.test(depends())) aptGet(['update']);
    const image = /Depends: (linux-image-\S+)/.exec(depends())?.[1];
    if (image === undefined) throw new Error('no kernel package is known to apt');
    try {
      aptGet(['download', image], { cwd: debs });
    } catch {
      // A list that is older than the mirror names a package that is no longer there.
      aptGet(['update']);
      aptGet(['download', image], { cwd: debs });
    }
    run('dpkg', ['-x', join(debs, readdirSync(debs)[0] ?? ''), kernel]);
    const [version = ''] = readdirSync(join(kernel, 'lib/modules'));
    const from = join(kernel, 'lib/modules', version);
    if (!existsSync(join(from, 'modules.dep'))) run(which('depmod') ?? 'depmod', ['-b', kernel, version]);
    mkdirSync(join(disk, 'modules'), { recursive: true });
    const order = loadOrder(from);
    for (const path of order) cpSync(join(from, path), join(disk, 'modules', basename(path)));
    writeFileSync(join(disk, 'modules/order'), `${order.map((path) => basename(path)).join('\n')}\n`);
    for (const folder of ['bin', 'etc', 'root', 'usr/local/bin'])
      mkdirSync(join(disk, folder), { recursive: true });
    cpSync(realpathSync(which('busybox') ?? ''), join(disk, 'bin/busybox'));
    copyLinked(process.execPath, disk, '/usr/local/bin/node');
    copyLinked(which('lsblk') ?? '', disk, '/usr/local/bin/lsblk');
    // As on a desktop: a user may mount and unmount what /etc/fstab lets users mount.
    for (const name of ['mount', 'umount']) {
      copyLinked(which(name) ?? '', disk, `/usr/local/bin/${name}`);
      chmodSync(join(disk, 'usr/local/bin', name), 0o4755);
    }
    for (const name of [
      'better-sqlite3/build/Release/better_sqlite3.node',
      'drivelist/build/Release/drivelist.node',
    ]) {
      const path = join(root, 'node_modules', name);
      if (existsSync(path)) copyLinked(path, disk, `/native/${basename(path)}`);
    }
    writeFileSync(join(disk, 'init'), init);
    chmodSync(join(disk, 'init'), 0o755);
    writeFileSync(join(disk, 'etc/passwd'), 'root:x:0:0::/root:/bin/sh\ntech:x:1000:1000::/tmp:/bin/sh\n');
    const names = run('find', ['.'], disk);
    const packed = execFileSync('cpio', ['-o', '-H', 'newc', '-R', '+0:+0', '--quiet'], {
      cwd: disk,
      input: names,
      maxBuffer: 2 ** 30,
      ...bound,
    });
    writeFileSync(join(into, 'disk.new'), packed);
    cpSync(join(kernel, `boot/vmlinuz-${version}`), join(into, 'kernel'));
    renameSync(join(into, 'disk.new'), join(into, 'disk'));
  } finally {
    rmSync(work, { recursive: true, force: true });
  }
}

/** Once for each node, and anew where this file changed. */
export function requireGuest(): string {
  requireArchitecture();
  requireTools();
  const key = createHash('sha256')
    .update(readFileSync(import.meta.filename))
    .update(process.version)
    .digest('hex');
  const folder = join(cache, key.slice(0, 16));
  if (!existsSync(join(folder, 'disk'))) build(folder);
  return folder;
}

/** The built tool with its native parts, as it lies in the shared folder: `tool/bin/slotproof.js`. */
export function copyTool(share: string): void {
  mkdirSync(join(share, 'tool'), { recursive: true });
  for (const name of ['bin', 'dist', 'manifests', 'package.json'])
    cpSync(join(root, name), join(share, 'tool', name), { recursive: true });
  for (const name of ['better-sqlite3', 'bindings', 'file-uri-to-path', 'drivelist', 'debug', 'ms']) {
    const from = join(root, 'node_modules', name);
    if (existsSync(from))
      cpSync(from, join(share, 'tool/node_modules', name), {
        recursive: true,
        dereference: true,
        filter: (path) => !/\/(deps|src)(\/|$)/.test(path.slice(from.length)),
      });
  }
}

/** What runs inside: a script of `tests/card`, and what such scripts share. */
export function copyDriver(name: string, share: string): void {
  for (const one of [name, 'guest-cards.mjs']) cpSync(join(root, 'tests/card', one), join(share, one));
  writeFileSync(join(share, 'run.sh'), `node /mnt/share/${name}\n`);
}

export interface GuestCard {
  readonly name: string;
  readonly image: string;
  /** In a pocket: put in by a hand later. A slot's card is \`mmcblk0\`, \`mmcblk1\` … in the order given; a reader's is found by \`/run/cards/NAME\`. */
  readonly reader: 'slot' | 'usb' | 'pocket';
  readonly writeProtected?: boolean;
  readonly faults?: CardFaults;
}

/** What hands do while the guest runs: told to the emulator one after another (QMP). */
export class Hands {
  readonly #monitor: string;
  readonly #medium: (name: string) => unknown;
  #last: Promise<void> = Promise.resolve();
  #puts = 0;

  /** `medium`: how the emulator reaches a card. */
  constructor(monitor: string, medium: (name: string) => unknown) {
    this.#monitor = monitor;
    this.#medium = medium;
  }

  takeOut(card: Pick<GuestCard, 'name' | 'reader'>): void {
    this.#tell(
      card.reader === 'slot'
        ? { execute: 'eject', arguments: { device: card.name, force: true } }
        : { execute: 'device_del', arguments: { id: `dev-${card.name}` } },
    );
  }

  /** A card into the USB reader that goes by the name of `reader`; `locked`: with its lock slid on. */
  putIn(reader: string, card: string, locked: boolean): void {
    this.#puts += 1;
    const node = `put-${this.#puts}`;
    this.#tell(
      {
        execute: 'blockdev-add',
        arguments: { driver: 'raw', 'node-name': node, 'read-only': locked, file: this.#medium(card) },
      },
      {
        execute: 'device_add',
        arguments: {
          driver: 'usb-storage',
          bus: 'usb.0',
          drive: node,
          id: `dev-${reader}`,
          removable: true,
          serial: reader,
        },
      },
    );
  }

  #tell(...orders: readonly unknown[]): void {
    this.#last = this.#last.then(() => this.#send([{ execute: 'qmp_capabilities' }, ...orders]));
  }

  /** Each order once the one before was answered; what the emulator refuses is left to the guest to notice. */
  #send(orders: readonly unknown[]): Promise<void> {
    return new Promise((resolve) => {
      const socket = createConnection(this.#monitor);
      const left = [...orders];
      let text = '';
      socket.on('error', () => resolve());
      socket.on('close', () => resolve());
      socket.on('data', (data) => {
        text += String(data);
        if (text.length > mostUnreadBytes) socket.destroy();
        for (let end = text.indexOf('\n'); end >= 0; end = text.indexOf('\n')) {
          const line = text.slice(0, end);
          text = text.slice(end + 1);
          if (!/"(QMP|return|error)"/.test(line)) continue;
          const next = left.shift();
          if (next === undefined) socket.end();
          else socket.write(`${JSON.stringify(next)}\n`);
        }
      });
    });
  }
}

/** What a script inside asks a hand to do: a file each in `share/hands`, carried out in the order of their names. */
interface HandOrder {
  readonly reader: string;
  /** The card to put in; absent: what is in is taken out. */
  readonly put?: string;
  readonly locked?: boolean;
}

function followOrders(share: string, hands: Hands): () => void {
  const folder = join(share, 'hands');
  mkdirSync(folder, { recursive: true });
  const done = new Set<string>();
  const timer = setInterval(() => {
    for (const name of readdirSync(folder).sort()) {
      if (!name.endsWith('.json') || done.has(name)) continue;
      done.add(name);
      const { reader, put, locked = false }: HandOrder = JSON.parse(readFileSync(join(folder, name), 'utf8'));
      if (put === undefined) hands.takeOut({ name: reader, reader: 'usb' });
      else hands.putIn(reader, put, locked);
    }
  }, 200);
  return () => clearInterval(timer);
}

/** Where a script inside leaves the name of the scenario that it begins. */
const playingIn = (share: string) => join(share, 'playing');

/**
 * Boots, runs `share/run.sh` as root, and returns when the guest has ended; the text is its console's and its log. Where it
 * has not ended within so many seconds it is stopped, and the error says at which scenario.
 */
export async function runInGuest(
  share: string,
  cards: readonly GuestCard[],
  seconds: number,
): Promise<string> {
  const guest = requireGuest();
  const work = mkdtempSync(join(tmpdir(), 'card-run-'));
  const monitor = join(work, 'monitor');
  rmSync(playingIn(share), { force: true });
  const path = join(work, 'cards');
  const hands = new Hands(monitor, (name) => ({
    driver: 'nbd',
    server: { type: 'unix', path },
    export: name,
  }));
  const server = await serveCards(
    path,
    cards.map((card) => ({
      name: card.name,
      path: card.image,
      faults: card.faults ?? {},
      onPull: () => hands.takeOut(card),
    })),
  );
  const inserted = cards.filter(({ reader }) => reader !== 'pocket');
  const devices = inserted.flatMap((card) => [
    '-drive',
    `if=none,id=${card.name},format=raw,file=${server.uri(card.name)}${card.writeProtected ? ',readonly=on' : ''}`,
    ...(card.reader === 'slot'
      ? [
          '-device',
          `sdhci-pci,id=slot-${card.name}`,
          '-device',
          `sd-card,drive=${card.name},bus=pci.0/slot-${card.name}/sd-bus`,
        ]
      : [
          '-device',
          `usb-storage,bus=usb.0,drive=${card.name},id=dev-${card.name},removable=on,serial=${card.name}`,
        ]),
  ]);
  const args = [
    '-machine',
    'pc,usb=off',
    '-accel',
    'tcg,thread=multi',
    '-cpu',
    'max',
    '-smp',
    '1',
    '-m',
    '1024',
    '-nodefaults',
    '-no-user-config',
    '-display',
    'none',
    '-vga',
    'none',
    '-no-reboot',
    '-kernel',
    join(guest, 'kernel'),
    '-initrd',
    join(guest, 'disk'),
    '-append',
    'console=ttyS0 loglevel=4 panic=-1 mitigations=off nokaslr random.trust_cpu=on',
    '-serial',
    `file:${join(work, 'console')}`,
    '-qmp',
    `unix:${monitor},server=on,wait=off`,
    '-device',
    'qemu-xhci,id=usb,p2=15,p3=15',
    '-fsdev',
    `local,id=share,path=${share},security_model=none`,
    '-device',
    'virtio-9p-pci,fsdev=share,mount_tag=share',
    ...devices,
  ];
  const emulator = spawn('qemu-system-x86_64', args, { stdio: ['ignore', 'ignore', 'pipe'] });
  let said = '';
  emulator.stderr.on('data', (data) => (said += String(data)));
  let wasStopped = false;
  let lastResort: NodeJS.Timeout | undefined;
  const timer = setTimeout(() => {
    wasStopped = true;
    emulator.kill();
    lastResort = setTimeout(() => emulator.kill('SIGKILL'), graceSeconds * 1000);
  }, seconds * 1000);
  const leaveOff = followOrders(share, hands);
  try {
    await new Promise<void>((done, fail) => {
      emulator.once('close', () => done());
      emulator.once('error', (error) =>
        fail(new Error('The emulator qemu-system-x86_64 could not be started.', { cause: error })),
      );
    });
  } finally {
    clearTimeout(timer);
    clearTimeout(lastResort);
    leaveOff();
    server.close();
  }
  const read = (path: string) => (existsSync(path) ? readFileSync(path, 'utf8') : '');
  const text = `${said}\n${read(join(work, 'console'))}\n${read(join(share, 'log'))}`;
  rmSync(work, { recursive: true, force: true });
  if (!wasStopped) return text;
  const at = read(playingIn(share));
  throw new Error(
    `The guest was stopped at its bound of ${seconds} seconds, ${at === '' ? 'before its first scenario' : `at ${at}`}:\n${text.slice(-4000)}`,
  );
}
