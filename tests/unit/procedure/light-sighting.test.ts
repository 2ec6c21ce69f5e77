// What people type of what they see, read or refused.

import { describe, expect, test } from 'vitest';
import type { Light } from '../../../src/manifest/schema.ts';
import { parseSighting, type Sighting } from '../../../src/procedure/light-sighting.ts';

const lights: readonly Light[] = [
  { id: 'run', label: 'RUN', colours: ['green'] },
  { id: 'link', label: 'Link up', colours: ['white'] },
  { id: 'fault', label: 'FAULT', colours: ['red', 'green'] },
];

function read(text: string): Sighting {
  const sighting = parseSighting(text, lights);
  if ('fault' in sighting) throw new Error(sighting.fault);
  return sighting;
}

test.each([
  ['run=on', { run: { kind: 'on' } }],
  ['run=on,fault=20in10s', { run: { kind: 'on' }, fault: { kind: 'count', flashes: 20, seconds: 10 } }],
  [
    ' RUN = On , fault = 20 in 10 s ',
    { run: { kind: 'on' }, fault: { kind: 'count', flashes: 20, seconds: 10 } },
  ],
  ['run=30in1min', { run: { kind: 'count', flashes: 30, seconds: 60 } }],
  ['run=7in20', { run: { kind: 'count', flashes: 7, seconds: 20 } }],
  ['run=0in10s', { run: { kind: 'off' } }],
  ['link up=off', { link: { kind: 'off' } }],
  ['link=3x', { link: { kind: 'groups', flashes: 3 } }],
  ['fault=red', { fault: { kind: 'on', colour: 'red' } }],
  ['fault=red:on', { fault: { kind: 'on', colour: 'red' } }],
  ['fault=green:9in10s', { fault: { kind: 'count', flashes: 9, seconds: 10, colour: 'green' } }],
  ['fault=green 2x', { fault: { kind: 'groups', flashes: 2, colour: 'green' } }],
  ['run=green', { run: { kind: 'on', colour: 'green' } }],
  ['off', { run: { kind: 'off' }, link: { kind: 'off' }, fault: { kind: 'off' } }],
  ['All off', { run: { kind: 'off' }, link: { kind: 'off' }, fault: { kind: 'off' } }],
  ['run=on,', { run: { kind: 'on' } }],
])('%s', (text, expected) => {
  expect(Object.fromEntries(read(text).lights)).toEqual(expected);
});

test('a run of lights, by id or label, beside others', () => {
  const sighting = read('sweep=run+Link up,fault=off');
  expect(sighting.sweep).toEqual(['run', 'link']);
  expect(Object.fromEntries(sighting.lights)).toEqual({ fault: { kind: 'off' } });
});

test.each([
  ['display=E-17', 'E-17'],
  ['display=STEP 1, of 3', 'STEP 1, of 3'],
  ['run=on,display=STEP 1, of 3', 'STEP 1, of 3'],
  ['display="STEP 1, of 3",run=on', 'STEP 1, of 3'],
  ['display=', ''],
])('%s', (text, expected) => {
  const sighting = read(text);
  expect(sighting.display).toBe(expected);
  expect(sighting.lights.size).toBe(text.includes('run') ? 1 : 0);
});

test('a light that is not named was not looked at', () => {
  expect(read('run=on').lights.has('fault')).toBe(false);
  expect(read('run=on').display).toBeUndefined();
});

describe('refused, with what was expected', () => {
  test.each([
    ['', 'nothing'],
    ['   ', 'nothing'],
    ['run', 'names no light'],
    ['=on', 'names no light'],
    ['pump=on', 'no light `pump`'],
    ['run=blinking', 'nothing that RUN can'],
    ['run=red', 'nothing that RUN can'],
    ['fault=red:off', 'nothing that FAULT can'],
    ['run=20in0s', 'nothing that RUN can'],
    ['run=20in999min', 'nothing that RUN can'],
    ['run=-3in10s', 'nothing that RUN can'],
    ['run=0x', 'nothing that RUN can'],
    ['run=on,run=off', 'told twice'],
    ['run=on,RUN=off', 'told twice'],
    ['sweep=run', 'no run of lights'],
    ['sweep=run+pump', 'no run of lights'],
    ['sweep=run+link,sweep=run+fault', 'no run of lights'],
    ['sweep=run+link,run=on', 'in the sweep'],
    ['display="A",display="B"', 'told twice'],
    ['display="A"x,run=on', 'names no light'],
    ['x'.repeat(1001), 'nothing'],
    ['run=\u001b[31m', 'nothing that RUN can'],
  ])('%s', (text, fault) => {
    const sighting = parseSighting(text, lights);
    expect('fault' in sighting && sighting.fault).toContain(fault);
    expect('fault' in sighting && sighting.expected).not.toBe('');
    expect(JSON.stringify(sighting)).not.toMatch(/\u001b/);
  });
});
