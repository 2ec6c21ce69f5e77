// Holds the direction of imports: each folder of src knows only those below it, pure folders know nothing of
// the system, and only compose.ts makes adapters. Code for a browser has a room of its own. Reads the source text;
// runs none of it.

import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve } from 'node:path';
import { expect, test } from 'vitest';

const root = resolve(import.meta.dirname, '../../../src');

/** From the ground up: a room may import from itself and from any room that stands before it. */
const order = [
  'words',
  'bytes',
  'ports',
  'manifest',
  'card',
  'procedure',
  'record',
  'fleet',
  'sheet',
  'report',
  'transfer',
  'ui',
  'commands',
];
const pure = new Set([
  'words',
  'manifest',
  'card',
  'procedure',
  'record',
  'fleet',
  'sheet',
  'report',
  'ports',
]);
const adapterMayKnow = new Set(['words', 'bytes', 'ports', 'adapters']);
const typeOnlyForAdapters = new Set(['manifest', 'card', 'procedure', 'record', 'fleet', 'sheet']);
/**
 * The script of the pocket page runs on a phone. It is built apart and reaches the tool as text, so nothing imports
 * it; itself it may know the pure rooms, whose code then goes into the page, and no package of its own choice. It has
 * a clock, a screen and a store, which no pure room has, and nothing at all that could reach a network.
 */
const pageRoom = 'sheet/pocket/page';
const pageMayKnow = new Set(['words', 'manifest', 'procedure', 'record', 'fleet', 'sheet', 'page']);
const pageWords =
  /\b(fetch\(|XMLHttpRequest|WebSocket|EventSource|sendBeacon|RTCPeerConnection|importScripts|innerHTML|outerHTML|insertAdjacentHTML|document\.write|eval\(|new Function|process\.|console\.|Math\.random\()/;
const browserWords =
  /\b(document\.(body|documentElement|getElementById|createElement|querySelector)|window\.|localStorage|sessionStorage|navigator\.)/;
const impurePackages = /^(node:(?!path\/posix)|commander$|inquirer$|drivelist$|better-sqlite3$|yauzl$)/;
/** They have effects, but only by way of ports; what each may still import by itself stands here. */
const throughPorts = new Set(['transfer', 'ui', 'commands']);
const shellMayImport: Readonly<Record<string, readonly string[]>> = {
  ui: ['inquirer'],
  commands: ['commander', 'node:timers/promises'],
};
const impureWords = /\b(process\.|console\.|Date\.now\(|new Date\(\)|Math\.random\()/;

interface Import {
  readonly from: string;
  readonly target: string;
  readonly typeOnly: boolean;
}

function importsIn(from: string, source: string): Import[] {
  const found: Import[] = [];
  const statement = /(?:^|\n)\s*(import|export)\s+(type\s+)?(?:[^'";]*?\sfrom\s+)?'([^']+)'/g;
  for (const match of source.matchAll(statement)) {
    found.push({ from, target: match[3] ?? '', typeOnly: match[2] !== undefined });
  }
  for (const match of source.matchAll(/\bimport\(\s*'([^']+)'/g)) {
    found.push({ from, target: match[1] ?? '', typeOnly: false });
  }
  return found;
}

function roomOf(path: string): string {
  if (path.startsWith(`${pageRoom}/`)) return 'page';
  const parts = path.split('/');
  return parts.length === 1 ? path : (parts[0] ?? '');
}

/** The rule that one import breaks, or undefined. */
function broken({ from, target, typeOnly }: Import): string | undefined {
  const room = roomOf(from);
  if (room === 'page') {
    if (!target.startsWith('.')) return "the page's script imports no package by itself";
    const to = roomOf(join(dirname(from), target).replaceAll('\\', '/'));
    return pageMayKnow.has(to) ? undefined : `the page's script must not import from ${to}`;
  }
  if (!target.startsWith('.')) {
    if (pure.has(room) && impurePackages.test(target)) return 'a pure folder must not import from the system';
    if (
      room === 'bytes' &&
      impurePackages.test(target) &&
      !/^node:(crypto|worker_threads|zlib)$/.test(target)
    ) {
      return 'bytes may import node:crypto, node:worker_threads and node:zlib alone';
    }
    if (throughPorts.has(room) && impurePackages.test(target) && !shellMayImport[room]?.includes(target)) {
      return `${room} reaches the system through ports`;
    }
    return undefined;
  }
  const targetRoom = roomOf(relative(root, join(root, dirname(from), target)).replaceAll('\\', '/'));
  if (targetRoom === 'page') return "the page's script is built apart: nothing imports it";
  if (room === 'compose.ts' || room === 'cli.ts') return undefined;
  if (targetRoom === 'adapters' && room !== 'adapters') return 'only compose.ts makes adapters';
  if (room === 'adapters') {
    if (adapterMayKnow.has(targetRoom)) return undefined;
    if (typeOnlyForAdapters.has(targetRoom)) {
      return typeOnly ? undefined : 'an adapter knows the pure folders by their types alone';
    }
    return 'an adapter knows ports and types only';
  }
  const here = order.indexOf(room);
  const there = order.indexOf(targetRoom);
  if (here < 0) return `no such room: ${room}`;
  if (there < 0 || there > here) return `${room} must not import from ${targetRoom}`;
  return undefined;
}

const files = readdirSync(root, { recursive: true, encoding: 'utf8' })
  .map((name) => name.replaceAll('\\', '/'))
  .filter((name) => name.endsWith('.ts'));

test('imports run one way', () => {
  const wrong = files.flatMap((file) =>
    importsIn(file, readFileSync(join(root, file), 'utf8')).flatMap((found) => {
      const rule = broken(found);
      return rule === undefined ? [] : [`${found.from} -> ${found.target}: ${rule}`];
    }),
  );
  expect(wrong).toEqual([]);
});

test('pure folders take no time, randomness or console of their own', () => {
  const wrong = files
    .filter((file) => pure.has(roomOf(file)) || roomOf(file) === 'bytes')
    // What runs in the phone's browser is a program of its own: there the page hands time and randomness in.
    .filter((file) => !file.startsWith('sheet/pocket/page/'))
    .flatMap((file) => {
      const code = readFileSync(join(root, file), 'utf8').replace(/\/\*[\s\S]*?\*\/|\/\/[^\n]*/g, '');
      const match = impureWords.exec(code);
      return match === null ? [] : [`${file}: ${match[0]}`];
    });
  expect(wrong).toEqual([]);
});

const codeOf = (text: string) => text.replace(/\/\*[\s\S]*?\*\/|\/\/[^\n]*/g, '');

test('only the page knows a browser, and the page knows no network', () => {
  const wrong = files.flatMap((file) => {
    const words = roomOf(file) === 'page' ? pageWords : browserWords;
    const match = words.exec(codeOf(readFileSync(join(root, file), 'utf8')));
    return match === null ? [] : [`${file}: ${match[0]}`];
  });
  expect(wrong).toEqual([]);
  expect(files.filter((file) => roomOf(file) === 'page').length).toBeGreaterThan(20);
  for (const planted of [
    "await fetch('x')",
    'new WebSocket(x)',
    'a.innerHTML = b',
    'navigator.sendBeacon(x)',
  ]) {
    expect(pageWords.test(planted), planted).toBe(true);
  }
  for (const planted of ['document.body', 'window.open(x)', 'localStorage.getItem(x)']) {
    expect(browserWords.test(planted), planted).toBe(true);
  }
});

test('every source file opens with what it is', () => {
  const silent = files.filter((file) => !/^(\/\/|\/\*\*)/.test(readFileSync(join(root, file), 'utf8')));
  expect(silent).toEqual([]);
});

test('the judge sees planted faults', () => {
  const planted: [string, string][] = [
    ['words/size.ts', "import { Blocks } from '../ports/blocks.ts'"],
    ['card/fat.ts', "import { readSync } from 'node:fs'"],
    ['card/fat.ts', "import { lint } from '../fleet/status.ts'"],
    ['manifest/schema.ts', "import inquirer from 'inquirer'"],
    ['commands/check.ts', "import { cardImages } from '../adapters/cards/card-images.ts'"],
    ['commands/check.ts', "const x = await import('../adapters/cards/card-images.ts')"],
    ['adapters/record/sqlite.ts', "import { foldUnit } from '../../record/fold-unit.ts'"],
    ['adapters/record/sqlite.ts', "import type { Context } from '../../commands/context.ts'"],
    ['transfer/run.ts', "export { x } from '../ui/paint.ts'"],
    ['transfer/run.ts', "import { readSync } from 'node:fs'"],
    ['ui/prompt.ts', "import { stdin } from 'node:process'"],
    ['commands/check.ts', "import { spawn } from 'node:child_process'"],
    ['sheet/pocket/page/main.ts', "import { encode } from 'uqr'"],
    ['sheet/pocket/page/main.ts', "import { readFileSync } from 'node:fs'"],
    ['sheet/pocket/page/main.ts', "import { sha256Hex } from '../../../bytes/sha256.ts'"],
    ['sheet/pocket/page/main.ts', "import type { Context } from '../../../commands/context.ts'"],
    ['sheet/pocket/pocket-page.ts', "import { App } from './page/app.ts'"],
    ['commands/sheet.ts', "const x = await import('../sheet/pocket/page/main.ts')"],
    ['strange/new.ts', "import { printable } from '../words/printable.ts'"],
  ];
  for (const [file, line] of planted) {
    const found = importsIn(file, line);
    expect(found, line).toHaveLength(1);
    expect(broken(found[0]!), `${file}: ${line}`).toBeDefined();
  }
  expect(
    broken(importsIn('adapters/a/b.ts', "import type { UnitState } from '../../record/unit-state.ts'")[0]!),
  ).toBeUndefined();
});
