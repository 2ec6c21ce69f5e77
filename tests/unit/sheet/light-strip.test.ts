// Strips drawn by hand. A strip may be short of a picture, but it must not lie: every cell is shorter than the
// shortest time lit or dark.

import { expect, test } from 'vitest';
import type { LightShow } from '../../../src/manifest/schema.ts';
import { lightStrip, sweepStrip } from '../../../src/sheet/light-strip.ts';

test('steady', () => {
  expect(lightStrip({ kind: 'on' }, 8).cells).toBe('########');
  expect(lightStrip({ kind: 'off' }, 8).cells).toBe('........');
});

test('flashes at a rate: half lit, half dark', () => {
  // 100 a minute: 0.6 s each, 0.1 s a cell.
  expect(lightStrip({ kind: 'flash', perMinute: 100 }, 18)).toEqual({
    cells: '###...###...###...',
    spanSeconds: expect.closeTo(1.8),
  });
  // 6 a minute: ten seconds each; two of them over 20 cells are a second a cell.
  expect(lightStrip({ kind: 'flash', perMinute: 6 }, 20)).toEqual({
    cells: '#####.....#####.....',
    spanSeconds: expect.closeTo(20),
  });
  // 1200 a minute: 25 ms lit.
  expect(lightStrip({ kind: 'flash', perMinute: 1200 }, 6)).toEqual({
    cells: '#.#.#.',
    spanSeconds: expect.closeTo(0.15),
  });
});

test('bursts: flashes of 0.2 s, then the pause', () => {
  // Two flashes and 1 s: ## .. ## then 10 dark, at 0.1 s a cell.
  expect(lightStrip({ kind: 'burst', burst: 2, pauseSeconds: 1 }, 32).cells).toBe(
    '##..##..........##..##..........',
  );
  expect(lightStrip({ kind: 'burst', burst: 1, pauseSeconds: 0.4 }, 12).cells).toBe('##....##....');
});

test('a running light: one after the other', () => {
  const sweep = { lights: ['run', 'link', 'fault'], stepSeconds: 0.4 };
  expect(['run', 'link', 'fault'].map((light) => sweepStrip(sweep, light, 24).cells)).toEqual([
    '####........####........',
    '....####........####....',
    '........####........####',
  ]);
  // There and back: the middle one lights up twice.
  const there = { lights: ['run', 'link', 'fault', 'link'], stepSeconds: 0.1 };
  expect(sweepStrip(there, 'link', 8).cells).toBe('.#.#.#.#');
});

test('lit and dark both show, whatever the rate and the room', () => {
  const shows: LightShow[] = [];
  for (let perMinute = 1; perMinute <= 1200; perMinute += 7) shows.push({ kind: 'flash', perMinute });
  for (let burst = 1; burst <= 20; burst++) {
    for (const pauseSeconds of [0.05, 0.4, 1, 5, 60]) shows.push({ kind: 'burst', burst, pauseSeconds });
  }
  for (const show of shows) {
    for (const cells of [14, 24, 30]) {
      const strip = lightStrip(show, cells);
      expect(strip.cells, JSON.stringify(show)).toMatch(/^[#.]+$/);
      expect(strip.cells).toHaveLength(cells);
      expect(strip.cells[0], JSON.stringify(show)).toBe('#');
      expect(strip.cells, JSON.stringify(show)).toContain('.');
    }
  }
});
