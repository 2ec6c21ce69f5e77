// The files of the default tier share a process (vitest.config.ts). Whatever replaces a module or something that every
// thread shares must have one of its own, or it would depend on what ran before it. Reads the tests' text.

import { readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { expect, test } from 'vitest';

const tests = resolve(import.meta.dirname, '../..');
const replaces = /vi\.(do)?mock\(|spyOn\((Atomics|process|globalThis)\b|stubGlobal\(|process\.chdir\(/;

const needAlone = (path: string, text: string): boolean =>
  !/\.(alone|long|card)\.test\.ts$/.test(path) && replaces.test(text);

test('a test that replaces what others share is called *.alone.test.ts', () => {
  const paths = readdirSync(tests, { recursive: true, encoding: 'utf8' }).filter(
    (path) => path.endsWith('.test.ts') && !path.endsWith('house/alone.test.ts'),
  );
  expect(paths.length).toBeGreaterThan(150);
  expect(paths.filter((path) => needAlone(path, readFileSync(join(tests, path), 'utf8')))).toEqual([]);
});

test('the judge sees one', () => {
  expect(needAlone('a.test.ts', "vi.mock('node:fs')")).toBe(true);
  expect(needAlone('a.test.ts', "vi.spyOn(Atomics, 'wait')")).toBe(true);
  expect(needAlone('a.alone.test.ts', "vi.mock('node:fs')")).toBe(false);
  expect(needAlone('a.test.ts', 'vi.useFakeTimers()')).toBe(false);
});
