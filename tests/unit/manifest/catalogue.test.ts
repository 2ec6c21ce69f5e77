import { describe, expect, it } from 'vitest';
import { buildCatalogue } from '../../../src/manifest/build-catalogue.ts';
import {
  newestRelease,
  releaseKey,
  requireProduct,
  requireRelease,
} from '../../../src/manifest/catalogue.ts';
import type { ManifestText } from '../../../src/manifest/manifest-text.ts';
import { demoCatalogue } from '../../support/demo-world.ts';
import { failureOf } from '../../support/failure-of.ts';
import { pond, pondRelease } from './pond-3.ts';

const product: ManifestText = { path: '/m/pond.yaml', content: pond() };
const release = (
  path: string,
  version: string,
  sequence: number,
  more = '',
  issued = '2026-10-01',
): ManifestText => ({
  path,
  content: pondRelease({
    4: `version: ${version}`,
    5: `sequence: ${sequence}`,
    6: `issued: ${issued}`,
    10: `from: { atLeast: 1 }${more}`,
  }),
});
const withdrawn = '\nwithdrawn: { on: 2026-11-02, why: It does not start again }';

describe('a release by name', () => {
  const catalogue = buildCatalogue([
    product,
    release('/m/a.yaml', '4.9', 5),
    release('/m/b.yaml', '4.10', 6),
    release('/m/c.yaml', '4.11', 7, withdrawn),
    release('/m/d.yaml', '4.2.0', 3),
  ]);

  it('is found by product and version, as text or as the scheme counts', () => {
    expect(requireRelease(catalogue, 'pond-3@4.9').version).toBe('4.9');
    expect(requireRelease(catalogue, 'pond-3@4.2').version).toBe('4.2.0');
    expect(requireRelease(catalogue, 'pond-3@4.10.0').version).toBe('4.10');
    expect(requireRelease(catalogue, 'POND-3@4.9').version).toBe('4.9');
    expect(requireRelease(catalogue, 'pond-3@4.11').withdrawn?.on).toBe('2026-11-02');
  });

  it('is found by product alone: the highest sequence that is not withdrawn', () => {
    expect(requireRelease(catalogue, 'pond-3').version).toBe('4.10');
    expect(newestRelease(catalogue, 'pond-3')?.version).toBe('4.10');
    expect(catalogue.releases.map(releaseKey)).toEqual([
      'pond-3@4.2.0',
      'pond-3@4.9',
      'pond-3@4.10',
      'pond-3@4.11',
    ]);
    expect(catalogue.sources.get('pond-3@4.9')).toBe('/m/a.yaml');
    expect(catalogue.sources.get('pond-3')).toBe('/m/pond.yaml');
  });

  it('that nobody knows is a failure with near names', () => {
    expect(failureOf(() => requireRelease(catalogue, 'pond3@4.9'))).toMatchObject({
      code: 'unknown-product',
      exit: 2,
      next: 'Did you mean pond-3?',
    });
    expect(failureOf(() => requireRelease(catalogue, 'pond-3@4.99'))).toMatchObject({
      code: 'unknown-release',
      exit: 2,
    });
    expect(failureOf(() => requireRelease(catalogue, 'pond-3@4.99')).next).toContain('pond-3@4.9');
    const far = failureOf(() => requireProduct(catalogue, 'windmill'));
    expect(far.expected).toContain('pond-3');
    expect(far.next).toMatch(/^Take one of these, or put its manifest into the workspace first/);
    expect(failureOf(() => requireRelease(catalogue, '\u001b[2J')).summary).not.toContain('\u001b');
    expect(failureOf(() => requireProduct(buildCatalogue([]), 'x')).next).toContain('manifests check');
  });

  it('that nobody knows: those that may be carried are offered, the newest first', () => {
    const many = buildCatalogue([
      product,
      ...Array.from({ length: 14 }, (_, at) =>
        release(`/m/r${at}.yaml`, `${at}.0`, at + 1, at === 4 || at === 13 ? withdrawn : ''),
      ),
    ]);
    // 4.0 and 13.0 are withdrawn, however near they are.
    const near = failureOf(() => requireRelease(many, 'pond-3@4.1'));
    expect(near.next).toMatch(
      /^Did you mean (pond-3@\d+\.0 or ){2}pond-3@\d+\.0\? The newest one is pond-3@12\.0\.$/,
    );
    expect(near.next).not.toContain('@4.0');
    const offered = [...near.next.matchAll(/pond-3@(\d+)\.0/g)].map(([, major]) => Number(major)).slice(0, 3);
    expect(offered).toEqual([...offered].sort((a, b) => b - a));
    expect(near.expected).toMatch(/^one of: pond-3@12\.0, pond-3@11\.0, /);
    expect(near.expected).not.toMatch(/@(4|13)\.0/);
    const far = failureOf(() => requireRelease(many, 'pond-3@spring-2026-rc'));
    expect(far.next).toBe('The newest one is pond-3@12.0.');
  });

  it('of a product without one, or with withdrawn ones only, is a failure', () => {
    expect(failureOf(() => requireRelease(buildCatalogue([product]), 'pond-3'))).toMatchObject({
      code: 'no-release',
      exit: 2,
    });
    const only = buildCatalogue([product, release('/m/c.yaml', '4.11', 7, withdrawn)]);
    expect(failureOf(() => requireRelease(only, 'pond-3')).summary).toContain('withdrawn');
  });

  it('whose manifest is not sound is told as such', () => {
    const unsound = buildCatalogue([product, release('/m/x.yaml', '4.12', 8, '\nnote: x')]);
    expect(failureOf(() => requireRelease(unsound, 'pond-3@4.12'))).toMatchObject({
      code: 'manifest-unsound',
      where: '/m/x.yaml',
    });
    const noProduct = buildCatalogue([{ path: '/m/p.yaml', content: pond({ 9: 'versions: x' }) }]);
    expect(failureOf(() => requireProduct(noProduct, 'pond-3')).code).toBe('manifest-unsound');
  });
});

describe('manifests against each other', () => {
  const codes = (texts: ManifestText[]) =>
    buildCatalogue(texts)
      .findings.filter(({ where }) => !where?.startsWith('/m/pond.yaml'))
      .map(({ code, severity, where }) => `${severity} ${code} ${where}`);

  it('a release of an unsound product is not used', () => {
    const texts = [
      { path: '/m/pond.yaml', content: pond({ 28: '    late: nowhere' }) },
      release('/m/a.yaml', '1', 1),
    ];
    expect(codes(texts)).toEqual(['stop product-unsound /m/a.yaml:3:10']);
    expect(buildCatalogue(texts).releases).toEqual([]);
  });

  it('a product defined twice: alike a warning, otherwise a stop, and neither is used', () => {
    expect(
      codes([product, { path: '/m/q.yaml', content: pond() }]).filter((code) => code.includes('twice')),
    ).toEqual(['warn defined-twice /m/q.yaml:3:5']);
    const other = { path: '/m/q.yaml', content: pond({ 5: 'name: Another' }) };
    expect(codes([other, product]).filter((code) => code.includes('twice'))).toEqual([
      'stop defined-twice /m/q.yaml:3:5',
    ]);
    const disputed = buildCatalogue([other, product, release('/m/a.yaml', '1', 1)]);
    expect([...disputed.products.keys()]).toEqual([]);
    expect(disputed.releases).toEqual([]);
    expect(failureOf(() => requireProduct(disputed, 'pond-3')).code).toBe('manifest-unsound');
  });

  it('a release defined twice, also under another way to write its version', () => {
    const texts = [product, release('/m/a.yaml', '4.2', 5), release('/m/b.yaml', '4.2.0', 6)];
    expect(codes(texts)).toEqual(['stop defined-twice /m/b.yaml:4:10']);
    expect(buildCatalogue(texts).releases).toEqual([]);
    expect(failureOf(() => requireRelease(buildCatalogue(texts), 'pond-3@4.2')).code).toBe(
      'manifest-unsound',
    );
  });

  it('a third copy, alike to one of two unlike ones, settles nothing', () => {
    const [a, b] = [release('/m/a.yaml', '4.2', 5), release('/m/b.yaml', '4.2', 6)];
    for (const third of [a, b]) {
      const texts = [product, a, b, { ...third, path: '/m/c.yaml' }];
      expect(buildCatalogue(texts).releases).toEqual([]);
      expect(codes(texts)).toContain('stop defined-twice /m/b.yaml:4:10');
    }
  });

  it('a release defined twice alike is there once, and a broken copy hides no sound one', () => {
    const a = release('/m/a.yaml', '4.2', 5);
    expect(buildCatalogue([product, a, { ...a, path: '/m/b.yaml' }]).releases).toHaveLength(1);
    const broken = { path: '/m/b.yaml', content: String(a.content).replace('[A', '[Z') };
    expect(buildCatalogue([product, a, broken]).releases).toHaveLength(1);
  });

  it('of a release withdrawn in one file and not in the other, the withdrawal is used', () => {
    const texts = [product, release('/m/a.yaml', '4.2', 5), release('/m/b.yaml', '4.2', 5, withdrawn)];
    expect(codes(texts)).toEqual(['stop defined-twice /m/a.yaml:4:10']);
    expect(buildCatalogue(texts).releases.map((one) => one.withdrawn?.on)).toEqual(['2026-11-02']);
  });

  it('a sequence used twice', () => {
    const texts = [product, release('/m/a.yaml', '4.2', 5), release('/m/b.yaml', '4.3', 5)];
    expect(codes(texts)).toEqual(['stop sequence-twice /m/b.yaml:5:11']);
    expect(buildCatalogue(texts).releases.map(({ version }) => version)).toEqual(['4.2']);
  });

  it('a sequence against the order of issue is a warning', () => {
    const texts = [product, release('/m/a.yaml', '4.2', 5, '', '2026-10-02'), release('/m/b.yaml', '4.3', 6)];
    expect(codes(texts)).toEqual(['warn sequence-order /m/b.yaml:5:11']);
  });

  it('the same texts give the same catalogue, in whatever order they come', () => {
    const texts = [
      product,
      release('/m/a.yaml', '4.2', 5),
      release('/m/b.yaml', '4.2', 6),
      release('/m/c.yaml', '4.3', 5),
    ];
    const ordered = buildCatalogue(texts);
    const reversed = buildCatalogue([...texts].reverse());
    expect(reversed.findings).toEqual(ordered.findings);
    expect(reversed.releases).toEqual(ordered.releases);
  });
});

it('the demonstration catalogue answers like any other', () => {
  expect(requireRelease(demoCatalogue(), 'kerb-22').version).toBe('126');
});
