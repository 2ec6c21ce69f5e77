// A throw-away workspace with two products and their releases, for tests of the register and of log. The pump
// drive's serials carry a Luhn digit and the revision; the lamp's are plain numbers and tell no revision.

import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const common = `
maker: Tarnholt
hazards: [mains-ac]
lights: [{ id: run, label: RUN, colour: green }]
patterns:
  - { id: writing, means: It takes the firmware in, busy: true, shows: { run: { perMinute: 60 } } }
  - { id: taken, means: Taken in, shows: { run: on } }
  - { id: refused, means: Not accepted, shows: { run: off } }
positions: { card: { states: [out, in], starts: out, ends: out } }
whileBusy: { card: in }
serves: [The run light stays on]
card: { fileSystems: [fat32], partitionTables: [mbr], capacity: { min: 1GB, max: 32GB } }
procedure:
  - { id: insert, do: Slide the card in, sets: { card: in } }
  - { id: look, watch: { writing: look, taken: out, refused: out-failed }, within: 10min, late: ended-busy, unlisted: ended-busy }
  - { id: out, do: Slide the card out, sets: { card: out } }
  - { id: after, read: version, where: Display, other: ended-badly }
  - { id: finished, end: updated }
  - { id: out-failed, do: Slide the card out, sets: { card: out } }
  - { id: ended-badly, end: failed }
  - { id: ended-busy, end: failed, leaves: { card: in } }
`;

const pump = `manifest: product
format: 1
id: rill-40
name: Rill 40 pump drive
hardware: [A, B, C]
serial: { pattern: '^TR(?<hardware>[A-D])[0-9]{8}$', check: luhn }
versions: dotted
${common}`;

const lamp = `manifest: product
format: 1
id: lume-2
name: Lume 2 yard lamp
hardware: ['1', '2']
serial: { pattern: '^[0-9]{6}$', check: none }
versions: integer
${common}`;

function release(product: string, version: string, sequence: number, more: string): string {
  return `manifest: release
format: 1
product: ${product}
version: ${version}
sequence: ${sequence}
issued: 2026-01-0${sequence}
priority: required
image: { name: IMAGE.FW, folder: '', bytes: 1024, digests: { sha256: ${'ab'.repeat(32)} } }
${more}
`;
}

export interface RegisterWorkspace {
  readonly path: string;
  readonly record: string;
  /** Writes a file beside the workspace's content; its absolute path. */
  file(name: string, content: string | Uint8Array): string;
  remove(): void;
}

export function registerWorkspace(): RegisterWorkspace {
  const path = mkdtempSync(join(tmpdir(), 'slotproof-register-'));
  const manifests = join(path, 'manifests');
  mkdirSync(manifests);
  const files = {
    'rill-40.yaml': pump,
    'rill-40@3.8.0.yaml': release('rill-40', '3.8.0', 1, 'hardware: [A, B, C]'),
    'rill-40@4.0.0.yaml': release('rill-40', '4.0.0', 2, 'hardware: [A, B, C]\nfrom: { atLeast: 3.8.0 }'),
    'rill-40@4.2.0.yaml': release(
      'rill-40',
      '4.2.0',
      3,
      'hardware: [B, C]\nfrom: { atLeast: 4.0.0 }\ndue: 2026-03-01',
    ),
    'lume-2.yaml': lamp,
    'lume-2@7.yaml': release('lume-2', '7', 1, "hardware: ['1', '2']"),
  };
  for (const [name, text] of Object.entries(files)) writeFileSync(join(manifests, name), text);
  return {
    path,
    record: join(path, 'record.db'),
    file(name, content) {
      const file = join(path, name);
      writeFileSync(file, content);
      return file;
    },
    remove: () => rmSync(path, { recursive: true, force: true }),
  };
}

/** `TRB` and eight digits, the last one the Luhn digit, worked out here on its own. */
export function pumpSerial(number: number, hardware = 'B'): string {
  const digits = String(number).padStart(7, '0');
  let sum = 0;
  [...digits].reverse().forEach((digit, at) => {
    const weighted = at % 2 === 0 ? Number(digit) * 2 : Number(digit);
    sum += weighted > 9 ? weighted - 9 : weighted;
  });
  return `TR${hardware}${digits}${(10 - (sum % 10)) % 10}`;
}
