// A throw-away workspace with one product, whose card rule each test sets, and its releases, whose images are
// given as bytes. The maker's downloads lie beside it.

import { createHash } from 'node:crypto';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { temporaryFolder } from './card-images.ts';

export interface CardWorkspace {
  readonly folder: string;
  readonly workspace: string;
  /** Path of the image that was written for a version. */
  readonly download: (version: string) => string;
}

export interface WrittenRelease {
  readonly version: string;
  readonly image: Uint8Array;
  /** Further lines of the manifest. */
  readonly more?: string;
}

export const imageName = 'RILL40.FWU';

const product = (card: string) => `manifest: product
format: 1
id: rill-40
maker: Tarnholt
name: Rill 40 pump drive
hazards: [mains-ac]
hardware: [A, B]
serial: { pattern: '^TR(?<hardware>[A-D])[0-9]{8}$', check: none }
versions: dotted
card: ${card}
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

const release = (
  { version, image, more }: WrittenRelease,
  sequence: number,
  folder: string,
) => `manifest: release
format: 1
product: rill-40
version: ${version}
sequence: ${sequence}
issued: 2026-10-01
priority: required
hardware: [A, B]
image: { name: ${imageName}, folder: '${folder}', bytes: ${image.length}, digests: { sha256: ${createHash('sha256').update(image).digest('hex')} } }
${more ?? ''}
`;

export function makeCardWorkspace(
  card: string,
  releases: readonly WrittenRelease[],
  imageFolder = '',
): CardWorkspace {
  const folder = temporaryFolder();
  const workspace = join(folder, 'workspace');
  mkdirSync(join(workspace, 'manifests'), { recursive: true, mode: 0o700 });
  writeFileSync(join(workspace, 'manifests', 'rill-40.yaml'), product(card));
  const download = (version: string) => join(folder, `download-${version}`, imageName);
  releases.forEach((one, index) => {
    writeFileSync(join(workspace, 'manifests', `${one.version}.yaml`), release(one, index + 1, imageFolder));
    mkdirSync(join(folder, `download-${one.version}`));
    writeFileSync(download(one.version), one.image);
  });
  return { folder, workspace, download };
}

/** The rule that most tests use: everything small is allowed. */
export const anyCard =
  '{ fileSystems: [fat32, fat16, fat12], partitionTables: [mbr, none], capacity: { min: 1MB, max: 4GB } }';

export function testImage(length: number, seed = 7): Uint8Array {
  return Uint8Array.from({ length }, (_, i) => (i * seed + (i >> 8) * 3) & 0xff);
}
