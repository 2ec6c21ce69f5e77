// What is kept of the manifests must be what reading them anew gives, and must never outlive them.

import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, test } from 'vitest';
import { localFiles } from '../../../src/adapters/files/local-files.ts';
import { checkProduct } from '../../../src/commands/check-product.ts';
import type { Catalogue } from '../../../src/manifest/catalogue.ts';
import { loadCatalogue } from '../../../src/manifest/load-catalogue.ts';

let root = '';
let checks = 0;
const folder = () => join(root, 'manifests');
const path = () => join(root, 'catalogue.json');
const load = (build: string | undefined = 'b1'): Promise<Catalogue> =>
  loadCatalogue(localFiles, {
    folder: folder(),
    furtherCheck: async () => {
      checks += 1;
      return checkProduct;
    },
    kept: build === undefined ? undefined : { path: path(), build },
  });
const loadFresh = () =>
  loadCatalogue(localFiles, { folder: folder(), furtherCheck: async () => checkProduct, kept: undefined });

beforeEach(() => {
  root = mkdtempSync(join(tmpdir(), 'slotproof-catalogue-'));
  cpSync(join(import.meta.dirname, '../../../manifests/tarnholt'), folder(), { recursive: true });
  checks = 0;
});
afterEach(() => rmSync(root, { recursive: true, force: true }));

test('the second reading gives the same, to the last field, without reading anything anew', async () => {
  const first = await load();
  const second = await load();
  expect(checks).toBe(1);
  expect(second).toEqual(first);
  expect(second).toEqual(await loadFresh());
  expect(second.products.size).toBe(3);
});

test('findings and refused manifests are kept as well', async () => {
  const text = readFileSync(join(folder(), 'hearth-90.yaml'), 'utf8');
  writeFileSync(
    join(folder(), 'hearth-90.yaml'),
    text.replace('needs: { hatch: open, key: service }', 'needs: { hatch: shut }'),
  );
  writeFileSync(join(folder(), 'other.yaml'), 'manifest: product\nformat: 1\nstray: yes\n');
  const first = await load();
  expect(first.findings.length).toBeGreaterThan(1);
  expect(await load()).toEqual(first);
  expect(first).toEqual(await loadFresh());
});

test.each([
  [
    'one byte of a manifest',
    () =>
      writeFileSync(
        join(folder(), 'kerb-22.yaml'),
        `${readFileSync(join(folder(), 'kerb-22.yaml'), 'utf8')}\n`,
      ),
  ],
  ['a manifest more', () => cpSync(join(folder(), 'kerb-22-118.yaml'), join(folder(), 'again.yaml'))],
  ['a manifest less', () => rmSync(join(folder(), 'kerb-22-118.yaml'))],
  [
    'a manifest under another name',
    () => {
      cpSync(join(folder(), 'kerb-22.yaml'), join(folder(), 'k.yaml'));
      rmSync(join(folder(), 'kerb-22.yaml'));
    },
  ],
  ['a damaged file', () => writeFileSync(path(), readFileSync(path(), 'utf8').slice(0, -9))],
  ['an empty file', () => writeFileSync(path(), '')],
  ['a number in place of it', () => writeFileSync(path(), '7')],
  [
    'something else in it',
    () => writeFileSync(path(), readFileSync(path(), 'utf8').replace('"sequence":14', '"sequence":99')),
  ],
])('%s: made anew', async (_what, change) => {
  await load();
  change();
  expect(await load()).toEqual(await loadFresh());
  expect(checks).toBe(2);
});

test('another build of the tool makes it anew', async () => {
  await load('b1');
  await load('b2');
  expect(checks).toBe(2);
});

test('where the build is not known nothing is kept', async () => {
  await loadFresh();
  expect(existsSync(path())).toBe(false);
});

test('a folder in its place, or no manifests at all, is no fault', async () => {
  rmSync(folder(), { recursive: true });
  expect((await load()).products.size).toBe(0);
  expect(existsSync(path())).toBe(false);
});
