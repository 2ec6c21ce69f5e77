// The files of query texts are what the Kysely definitions say today, and the tool itself never loads Kysely.

import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { queryTexts as postgres } from '../../../src/adapters/record/postgres/query-texts.ts';
import { queryTextsOf } from '../../../src/adapters/record/queries/query-texts-of.ts';
import { queryTexts as sqlite } from '../../../src/adapters/record/sqlite/query-texts.ts';

/** Types cost nothing when the tool runs. */
const loads = /^import (?!type)[^;]*?('kysely'|queries\/(?!page-length)[a-z-]+\.ts')/m;
const root = join(import.meta.dirname, '../../..');

test('the texts are the definitions as compiled today (else: node build-queries.js)', () => {
  expect({ sqlite, postgres }).toEqual(queryTextsOf());
});

test('nothing but the definitions imports Kysely, and nothing that runs imports them', () => {
  const wrong = readdirSync(join(root, 'src'), { recursive: true, encoding: 'utf8' })
    .map((name) => name.replaceAll('\\', '/'))
    .filter((name) => name.endsWith('.ts') && !name.startsWith('adapters/record/queries/'))
    .filter((name) => {
      const text = readFileSync(join(root, 'src', name), 'utf8');
      return loads.test(text);
    });
  expect(wrong).toEqual([]);
  expect(loads.test("import {\n  Kysely,\n} from 'kysely';")).toBe(true);
  expect(loads.test("import { sharedQueries } from '../queries/shared-queries.ts';")).toBe(true);
});
