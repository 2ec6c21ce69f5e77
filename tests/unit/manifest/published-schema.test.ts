// The published JSON Schema is what the schemas give, and a judge of its own (ajv) that reads it takes and
// refuses the same manifests as the reader does, as far as a JSON Schema can tell.

import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { decodeManifest } from '../../../src/manifest/decode-manifest.ts';
import { publishedSchemas, schemaText } from '../../../src/manifest/published-schema.ts';
import { demoManifestTexts } from '../../support/demo-world.ts';
import { pond, pondRelease } from './pond-3.ts';

const [productSchema, releaseSchema] = publishedSchemas();
const ajv = new Ajv2020({ strict: false, allErrors: false, allowUnionTypes: true });
const judges = { product: ajv.compile(productSchema!.schema), release: ajv.compile(releaseSchema!.schema) };

function accepts(text: string): boolean {
  const value = parse(text) as { manifest?: string };
  return judges[value.manifest === 'release' ? 'release' : 'product'](value) as boolean;
}

const isSound = (text: string) => decodeManifest('M', text).findings.length === 0;

it.each(publishedSchemas())('the published file $fileName is up to date', (schema) => {
  const published = readFileSync(
    new URL(`../../../manifests/schema/${schema.fileName}`, import.meta.url),
    'utf8',
  );
  expect(published, 'write it anew: slotproof manifests schema --out manifests/schema').toBe(
    schemaText(schema),
  );
});

describe('it accepts', () => {
  it.each(demoManifestTexts().map(({ path, content }) => [path.split('/').at(-1)!, String(content)]))(
    '%s',
    (_, text) => {
      expect(accepts(text), JSON.stringify([judges.product.errors, judges.release.errors])).toBe(true);
      expect(isSound(text)).toBe(true);
    },
  );

  it.each([
    ['a name that looks like a number', pond({ 5: 'name: 4.10' })],
    ['a version that looks like a number', pondRelease({ 4: 'version: 4.10' })],
    ['a folded text', pond({ 5: 'name: >\n  A long\n  name' })],
    ['plain bytes', pondRelease({ 13: '  bytes: 4096' })],
    ['a size', pondRelease({ 13: '  bytes: 4KiB' })],
    ['a list in from', pondRelease({ 10: 'from: [1.2, 3]' })],
    ['no from', pondRelease({ 10: 'notes: none' })],
  ])('%s', (_, text) => {
    expect(accepts(text)).toBe(true);
    expect(isSound(text)).toBe(true);
  });
});

describe('it refuses', () => {
  it.each([
    ['an unknown key', pond({ 5: 'name: Pond\nrevison: 2' })],
    ['an unknown key deep inside', pond({ 13: '  capacity: { min: 1, max: 2GB, mix: 3 }' })],
    ['a key left out', pond({ 4: '# none' })],
    ['a newer format', pond({ 2: 'format: 2' })],
    ['a number in quotes', pondRelease({ 5: "sequence: '7'" })],
    ['an unknown hazard', pond({ 6: 'hazards: [sharks]' })],
    ['an id in capitals', pond({ 3: 'id: Pond' })],
    ['a size in bits', pond({ 13: '  capacity: { min: 1, max: 2Gb }' })],
    ['a duration without unit', pond({ 27: '    within: 5' })],
    ['a step that does two things', pond({ 24: '  - { id: insert, do: a, wait: 3s }' })],
    ['a step that does nothing', pond({ 24: '  - { id: insert, sets: { card: in } }' })],
    ['a watch without late', pond({ 28: '    # none' })],
    ['an end that sets', pond({ 31: '  - { id: done, end: updated, sets: { card: out } }' })],
    ['a burst without pause', pond({ 19: '  - { id: good, means: Done, shows: { run: { burst: 3 } } }' })],
    ['an unknown show', pond({ 19: '  - { id: good, means: Done, shows: { run: blinking } }' })],
    ['a digest too short', pondRelease({ 15: '    sha256: abc' })],
    ['no digest', pondRelease({ 14: '  digests: {}', 15: '' })],
    ['an empty from', pondRelease({ 10: 'from: {}' })],
    ['a name with a separator', pondRelease({ 12: '  name: a/b' })],
    ['a folder that leads out', pondRelease({ 12: '  name: A\n  folder: ../x' })],
    ['an empty value', pond({ 4: 'maker:' })],
    ['text of two lines', pond({ 5: 'name: "a\\nb"' })],
  ])('%s', (_, text) => {
    expect(isSound(text)).toBe(false);
    expect(accepts(text)).toBe(false);
  });
});
