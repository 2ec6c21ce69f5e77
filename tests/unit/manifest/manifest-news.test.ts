import { expect, test } from 'vitest';
import { manifestNewsMs } from '../../../src/manifest/manifest-news.ts';
import type { FileFacts } from '../../../src/ports/files.ts';

const times: Record<string, number> = { '/m/a.yaml': 100, '/m/b.yaml': 300, '/m/future.yaml': 9000 };
const files = {
  facts: (path: string): FileFacts | undefined =>
    times[path] === undefined
      ? undefined
      : { kind: 'file', sizeBytes: 1, modifiedMs: times[path], changedMs: 0, stamp: '' },
};
const news = (...paths: string[]) =>
  manifestNewsMs({ sources: new Map(paths.map((path, i) => [`p${i}`, path])) }, files, 1000);

test('the newest of the files that are used, never in the future', () => {
  expect(news('/m/a.yaml', '/m/b.yaml')).toBe(300);
  expect(news('/m/b.yaml', '/m/a.yaml')).toBe(300);
  expect(news('/m/a.yaml', '/m/future.yaml')).toBe(1000);
  expect(news('/m/a.yaml', '/m/gone.yaml')).toBe(100);
  expect(news()).toBeUndefined();
});
