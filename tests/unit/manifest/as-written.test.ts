// Scalars where text is expected stay as they were written, whatever YAML takes them for; the rest becomes bytes,
// seconds and defaults.

import { describe, expect, it } from 'vitest';
import { decodeManifest } from '../../../src/manifest/decode-manifest.ts';
import type { Product, Release } from '../../../src/manifest/schema.ts';
import { pond, pondRelease } from './pond-3.ts';

function productOf(text: string): Product {
  const { decoded, findings } = decodeManifest('P', text);
  expect(findings).toEqual([]);
  if (decoded.kind !== 'product') throw new Error('no product');
  return decoded.product;
}

function releaseOf(text: string): Release {
  const { decoded, findings } = decodeManifest('R', text);
  expect(findings).toEqual([]);
  if (decoded.kind !== 'release') throw new Error('no release');
  return decoded.release;
}

describe('text', () => {
  it.each([
    '4.10',
    '0x10',
    '0o17',
    '1e3',
    '+5',
    '007',
    '.5',
    '2026-10-01',
    'no',
    'yes',
    'on',
    'null',
    '~',
    'true',
    'False',
    '.inf',
    '.nan',
    '1_000',
    '12:30',
  ])('that reads %s stays so', (written) => {
    expect(productOf(pond({ 5: `name: ${written}` })).name).toBe(written);
    expect(productOf(pond({ 5: `name: '${written}'` })).name).toBe(written);
  });

  it.each(['4.10', '2', '2026', '0', '1e3', '12345678901234567890'])('in a version: %s', (written) => {
    expect(releaseOf(pondRelease({ 4: `version: ${written}`, 10: `from: [${written}, 9]` })).version).toBe(
      written,
    );
  });

  it('in lists, keys and digests', () => {
    const product = productOf(
      pond({ 7: 'hardware: [1, 2.10, A]', 22: '  card: { states: [0, 1, off], starts: 0, ends: 0 }' }),
    );
    expect(product.hardware).toEqual(['1', '2.10', 'A']);
    expect(product.positions.card?.states).toEqual(['0', '1', 'off']);
    expect(releaseOf(pondRelease({ 15: '    crc32: 12345678' })).image.digests).toEqual({
      crc32: '12345678',
    });
    expect(releaseOf(pondRelease({ 15: '    crc32: 1e234567' })).image.digests).toEqual({
      crc32: '1e234567',
    });
    expect(releaseOf(pondRelease({ 15: '    crc32: ABCDEF01' })).image.digests).toEqual({
      crc32: 'abcdef01',
    });
  });

  it('may be folded over lines, and loses the line break at its end', () => {
    expect(productOf(pond({ 5: 'name: >\n  A long\n  name' })).name).toBe('A long name');
    expect(productOf(pond({ 5: 'name: |\n  One line' })).name).toBe('One line');
    expect(productOf(pond({ 5: 'name: A long\n  name' })).name).toBe('A long name');
    expect(productOf(pond({ 5: "name: ' blanks around '" })).name).toBe('blanks around');
  });

  it('is the same after a byte-order mark, with CRLF, and as JSON', () => {
    expect(productOf(`\ufeff${pond()}`)).toEqual(productOf(pond()));
    expect(productOf(pond().replaceAll('\n', '\r\n'))).toEqual(productOf(pond()));
    const release = releaseOf(pondRelease());
    const { from, ...rest } = release;
    expect(releaseOf(JSON.stringify({ ...rest, from: { atLeast: '3.8', below: '4.10' } }, null, 2))).toEqual(
      release,
    );
    expect(releaseOf(JSON.stringify({ ...rest, from: { atLeast: '3.8', below: '4.10' } }))).toEqual(release);
  });
});

describe('sizes and durations', () => {
  it.each([
    ['18874368', 18874368],
    ['512MiB', 536870912],
    ['1.5GB', 1500000000],
    ['16kB', 16000],
    ['64KiB', 65536],
    ['100B', 100],
  ])('%s is %d bytes', (written, bytes) => {
    expect(productOf(pond({ 13: `  capacity: { min: 1, max: ${written} }` })).card.capacity.maxBytes).toBe(
      bytes,
    );
  });

  it.each([
    ['400ms', 0.4],
    ['90s', 90],
    ['1.5s', 1.5],
    ['20min', 1200],
    ['2h', 7200],
    ['48h', 172800],
  ])('%s is %d seconds', (written, seconds) => {
    const step = productOf(pond({ 27: `    within: ${written}` })).procedure[1];
    expect(step).toMatchObject({ kind: 'watch', withinSeconds: seconds });
  });
});

describe('the parsed form', () => {
  it('has every default of the card rule', () => {
    expect(productOf(pond()).card).toEqual({
      fileSystems: ['fat16'],
      partitionTables: ['mbr'],
      capacity: { minBytes: 16_000_000, maxBytes: 2_000_000_000 },
      maxClusterBytes: 65536,
      onlyFile: true,
      shortNameOnly: true,
      contiguous: false,
      rootSlots: 0,
      activePartition: false,
      afterUse: 'unchanged',
    });
  });

  it('names the kind of each step, and has empty placings where none are written', () => {
    const product = productOf(
      pond({
        5: 'name: Pond\nserves: [It runs]',
        34: [
          '  - { id: stay, do: Call, then: w, tries: 2, otherwise: left, takes: 2min, why: x }',
          '  - { id: w, wait: 7min, orPlate: true, then: h }',
          '  - { id: h, hold: GO, for: [6s, 9s] }',
          '  - { id: h2, hold: GO, for: 3s }',
          '  - { id: m, measure: { what: U, between: [a and b], in: V, from: -50, to: 50.5, proveMeter: true }, otherwise: left }',
          '  - { id: r, read: version, where: Display, other: left, unreadable: c }',
          '  - { id: c, confirm: serves, otherwise: left }',
        ].join('\n'),
      }),
    );
    const common = { needs: {}, sets: {} };
    expect(product.procedure.slice(6, 13)).toEqual([
      {
        ...common,
        id: 'stay',
        kind: 'do',
        do: 'Call',
        next: 'w',
        tries: 2,
        otherwise: 'left',
        takesSeconds: 120,
        why: 'x',
      },
      { ...common, id: 'w', kind: 'wait', waitSeconds: 420, orPlate: true, next: 'h' },
      { ...common, id: 'h', kind: 'hold', hold: 'GO', forSeconds: { min: 6, max: 9 } },
      { ...common, id: 'h2', kind: 'hold', hold: 'GO', forSeconds: { min: 3, max: 3 } },
      {
        ...common,
        id: 'm',
        kind: 'measure',
        measure: { what: 'U', between: ['a and b'], in: 'V', from: -50, to: 50.5, proveMeter: true },
        otherwise: 'left',
      },
      { ...common, id: 'r', kind: 'read', read: 'version', where: 'Display', other: 'left', unreadable: 'c' },
      { ...common, id: 'c', kind: 'confirm', confirm: 'serves', otherwise: 'left' },
    ]);
    expect(product.procedure[0]).toEqual({
      id: 'insert',
      kind: 'do',
      do: 'Put the card in',
      needs: {},
      sets: { card: 'in' },
    });
    expect(product.procedure.at(-1)).toEqual({
      id: 'left',
      kind: 'end',
      end: 'failed',
      leaves: { card: 'in' },
    });
  });

  it('of lights and what they show', () => {
    const product = productOf(
      pond({
        19: [
          '  - { id: good, means: Done, shows: { run: off, duo: { colour: green } } }',
          '  - { id: s, means: S, shows: { sweep: [run, duo], step: 400ms } }',
          '  - { id: d, means: D, shows: { display: 4E1 } }',
          '  - { id: z, means: Z, shows: {} }',
        ].join('\n'),
      }),
    );
    expect(product.lights).toEqual([
      { id: 'run', label: 'RUN', colours: ['green'] },
      { id: 'duo', label: 'DUO', colours: ['green', 'red'] },
    ]);
    expect(product.patterns.map(({ shows }) => shows)).toEqual([
      { lights: { run: { kind: 'burst', burst: 2, pauseSeconds: 1 } } },
      { lights: { run: { kind: 'off' }, duo: { kind: 'on', colour: 'green' } } },
      { lights: {}, sweep: { lights: ['run', 'duo'], stepSeconds: 0.4 } },
      { lights: {}, display: '4E1' },
      { lights: {} },
      { lights: { duo: { kind: 'flash', perMinute: 60, colour: 'red' } } },
    ]);
    expect(product.patterns.map(({ busy }) => busy)).toEqual([true, false, false, false, false, false]);
  });

  it('of where a release may follow', () => {
    const from = (line: string) => releaseOf(pondRelease({ 10: line })).from;
    expect(from('from: { atLeast: 3.10, below: 4.0 }')).toEqual({
      kind: 'range',
      atLeast: '3.10',
      below: '4.0',
    });
    expect(from('from: { below: 4 }')).toEqual({ kind: 'range', below: '4' });
    expect(from('from: [3.10, 3.9]')).toEqual({ kind: 'list', versions: ['3.10', '3.9'] });
    expect(from('notes: none')).toEqual({ kind: 'any' });
  });
});
