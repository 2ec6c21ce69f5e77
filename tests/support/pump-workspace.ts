// A throw-away workspace with one product whose card rule the small card images of the tests satisfy, and two
// releases of it. Firmware bytes are made up.

import { createHash } from 'node:crypto';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { temporaryFolder } from './card-images.ts';
import { firmwareBytes } from './card-rule.ts';

export const pumpImage = firmwareBytes(5000);
export const olderPumpImage = firmwareBytes(5000, 2);

const product = (rule: string): string => `manifest: product
format: 1
id: rill-40
maker: Tarnholt
name: Rill 40 pump drive
hazards: [mains-ac]
hardware: [A, B]
serial: { pattern: '^TR(?<hardware>[A-D])[0-9]{8}$', check: luhn }
versions: dotted
card:
${rule}
lights: [{ id: run, label: RUN, colour: green }]
patterns:
  - { id: writing, means: It takes the firmware in, busy: true, shows: { run: { perMinute: 60 } } }
  - { id: taken, means: Taken in, shows: { run: on } }
  - { id: refused, means: Not accepted, shows: { run: off } }
positions: { card: { states: [out, in], starts: out, ends: out } }
whileBusy: { card: in }
serves: [The run light stays on]
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

export const releaseText = (
  version: string,
  sequence: number,
  image: Uint8Array,
  more = '',
): string => `manifest: release
format: 1
product: rill-40
version: ${version}
sequence: ${sequence}
issued: 2026-01-0${sequence}
priority: required
hardware: [A, B]
from: { below: ${version} }
image: { name: RILL40.FWU, folder: '', bytes: ${image.length}, digests: { sha256: ${createHash('sha256').update(image).digest('hex')} } }
${more}`;

export const pumpRule = `  fileSystems: [fat16, fat32]
  partitionTables: [mbr, none]
  capacity: { min: 1MiB, max: 1GB }`;

/** The path of the workspace. */
export function pumpWorkspace(rule = pumpRule): string {
  const root = temporaryFolder();
  mkdirSync(join(root, 'manifests'));
  const write = (name: string, text: string) => writeFileSync(join(root, 'manifests', name), text);
  write('rill-40.yaml', product(rule));
  write('rill-40-4.1.0.yaml', releaseText('4.1.0', 1, olderPumpImage));
  write('rill-40-4.2.0.yaml', releaseText('4.2.0', 2, pumpImage));
  return root;
}
