// The demonstration manifests: sound without a warning, and their digests are those of the generated files, as
// the stock tools work them out.

import { execFileSync } from 'node:child_process';
import { crc32 } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { checkProduct } from '../../../src/commands/check-product.ts';
import { buildCatalogue } from '../../../src/manifest/build-catalogue.ts';
import { releaseKey, releasesOf, requireRelease } from '../../../src/manifest/catalogue.ts';
import { demoDownload, demoImage } from '../../../src/manifest/demo-firmware.ts';
import { demoCatalogue, demoManifestTexts } from '../../support/demo-world.ts';

const catalogue = demoCatalogue();

/** Digest of the bytes by a tool that is not ours. */
function judgedDigest(kind: string, bytes: Uint8Array): string {
  if (kind === 'crc32') return crc32(bytes).toString(16).padStart(8, '0');
  return execFileSync(`${kind}sum`, { input: bytes }).toString().split(' ')[0]!;
}

it('are sound, gaps in their procedures included, without a single warning', () => {
  expect(buildCatalogue(demoManifestTexts(), checkProduct).findings).toEqual([]);
});

it('are judged by something that tells damage', () => {
  const gap = demoManifestTexts().map(({ path, content }) => ({
    path,
    content: String(content).replace(
      'needs: { card: out }\n    sets: { key: run }',
      'needs: { hatch: shut }\n    sets: { key: run }',
    ),
  }));
  const { findings, products } = buildCatalogue(gap, checkProduct);
  expect(findings.map(({ code }) => code)).toContain('needs-fails');
  expect(findings.find(({ code }) => code === 'needs-fails')?.where).toMatch(/hearth-90\.yaml:\d+:\d+$/);
  expect(products.has('hearth-90')).toBe(false);
});

it('show what the tool is for', () => {
  expect([...catalogue.products.keys()]).toEqual(['hearth-90', 'kerb-22', 'weir-18']);
  const { releases } = catalogue;
  expect(releases.length).toBeGreaterThanOrEqual(9);
  expect(releases.filter(({ withdrawn }) => withdrawn).map(releaseKey)).toEqual(['hearth-90@2.5.3']);
  for (const what of ['due', 'download'] as const)
    expect(releases.some((release) => release[what])).toBe(true);
  expect(releases.some(({ resets }) => resets.length > 0)).toBe(true);
  expect(new Set([...catalogue.products.values()].map(({ versions }) => versions)).size).toBe(3);
  expect(new Set([...catalogue.products.values()].map(({ serial }) => serial.check)).size).toBe(3);
  expect(new Set([...catalogue.products.values()].map(({ card }) => JSON.stringify(card))).size).toBe(3);
  for (const product of catalogue.products.keys())
    expect(releasesOf(catalogue, product).length).toBeGreaterThanOrEqual(3);
  expect(requireRelease(catalogue, 'hearth-90').version).toBe('2.6.0');
});

describe('the generated files', () => {
  it.each(catalogue.releases.map((release) => [releaseKey(release), release] as const))(
    'of %s',
    (_, release) => {
      const image = demoImage(release);
      expect(image.length).toBe(release.image.bytes);
      for (const [kind, hex] of Object.entries(release.image.digests))
        expect(judgedDigest(kind, image)).toBe(hex);
      const download = demoDownload(release);
      expect(download.name).toBe(release.download?.name ?? release.image.name);
      if (release.download === undefined) {
        expect(Buffer.compare(download.bytes, image)).toBe(0);
        return;
      }
      expect(download.bytes.length).toBe(release.download.bytes);
      for (const [kind, hex] of Object.entries(release.download.digests)) {
        expect(judgedDigest(kind, download.bytes)).toBe(hex);
      }
    },
  );

  it('say in their first bytes that they mean nothing', () => {
    for (const release of catalogue.releases) {
      const head = Buffer.from(demoImage(release).subarray(0, 120)).toString('latin1');
      expect(head).toContain('NOT FIRMWARE');
      expect(head).toContain(releaseKey(release));
    }
  });

  it('differ from each other throughout', () => {
    const images = catalogue.releases.map(demoImage);
    expect(new Set(images.map((image) => Buffer.from(image.subarray(200, 264)).toString('hex'))).size).toBe(
      images.length,
    );
  });
});
