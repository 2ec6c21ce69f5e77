// What is kept of the manifests must be what reading them anew gives, and must never outlive them.

import { cpSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { localFiles } from '../../../src/adapters/files/local-files.ts';
import { checkProduct } from '../../../src/commands/check-product.ts';
import type { Catalogue } from '../../../src/manifest/catalogue.ts';
import { loadCatalogue } from '../../../src/manifest/load-catalogue.ts';
import { makeKey, signByKeygen } from '../../support/ssh-keys.ts';

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

describe('where trust in signatures is on', () => {
  const signers = () => join(root, 'trusted-signers');
  let key = '';
  beforeAll(() => {
    key = makeKey(mkdtempSync(join(tmpdir(), 'slotproof-key-')), 'ed25519');
  });
  afterAll(() => rmSync(dirname(key), { recursive: true }));
  let nowMs = Date.UTC(2026, 10, 24);
  const clock = { now: () => nowMs, offsetMinutes: () => 0 };
  const loadTrusted = () =>
    loadCatalogue(localFiles, {
      folder: folder(),
      furtherCheck: async () => {
        checks += 1;
        return checkProduct;
      },
      kept: { path: path(), build: 'b1' },
      trust: { path: signers(), clock },
    });
  const known = ({ products, releases }: Catalogue) => `${[...products.keys()]} ${releases.length}`;
  const sign = (name: string) => signByKeygen(key, join(folder(), name));
  const kerb = ['kerb-22.yaml', 'kerb-22-118.yaml', 'kerb-22-121.yaml', 'kerb-22-126.yaml'];

  test('what is kept never lets in what is not signed, nor outlives a signature or a signer', async () => {
    expect(known(await loadTrusted())).toBe('hearth-90,kerb-22,weir-18 10');
    const line = `lead ${readFileSync(`${key}.pub`, 'utf8')}`;
    writeFileSync(signers(), line);
    // All of it lies in the kept catalogue now.
    const none = await loadTrusted();
    expect([known(none), none.untrusted?.findings.length]).toEqual([' 0', 13]);
    for (const name of kerb) sign(name);
    expect(known(await loadTrusted())).toBe('kerb-22 3');
    const anew = checks;
    const again = await loadTrusted();
    expect([known(again), checks - anew, again.findings.length]).toEqual(['kerb-22 3', 0, 9]);
    writeFileSync(join(folder(), `${kerb[3]}.sig`), readFileSync(join(folder(), `${kerb[2]}.sig`)));
    expect(known(await loadTrusted())).toBe('kerb-22 2');
    writeFileSync(signers(), line.replace('lead ', 'lead valid-before="20261125Z" '));
    expect(known(await loadTrusted())).toBe('kerb-22 2');
    nowMs += 2 * 86_400_000;
    expect(known(await loadTrusted())).toBe(' 0');
    rmSync(signers());
    expect(known(await loadTrusted())).toBe('hearth-90,kerb-22,weir-18 10');
  });

  test('an untrusted text that speaks of a withdrawal puts its release in doubt', async () => {
    for (const name of kerb) sign(name);
    writeFileSync(signers(), `lead ${readFileSync(`${key}.pub`, 'utf8')}`);
    const text = readFileSync(join(folder(), 'kerb-22-126.yaml'), 'utf8');
    writeFileSync(join(folder(), 'stop.yaml'), `${text}withdrawn: { on: 2026-11-02, why: It stops }\n`);
    const { untrusted } = await loadTrusted();
    expect([...(untrusted?.doubted ?? [])]).toEqual([['kerb-22@126', join(folder(), 'stop.yaml')]]);
  });
});
