// Nothing is taken twice: outcomes of several units in every form, in any order and any repetition, leave one entry
// that counts for each thing that was said.

import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { FiledOutcome, OutcomeSheet } from '../../src/sheet/outcome/outcome.ts';
import { asCode, asFile, asQr, outcomeOf, pocketWorkspace } from '../support/pocket-outcomes.ts';
import { checkSeeded } from '../support/seeded.ts';
import { testClock } from '../support/test-clock.ts';

const said = fc.record({
  unit: fc.nat(2),
  outcome: fc.constantFrom('updated' as const, 'failed' as const),
  /** Minutes ago: two outcomes of one unit may differ by this alone. */
  at: fc.nat(1),
});
const piece = fc.record({ said, form: fc.constantFrom('file' as const, 'qr' as const, 'code' as const) });
type Piece = {
  said: { unit: number; outcome: 'updated' | 'failed'; at: number };
  form: 'file' | 'qr' | 'code';
};

function outcomeFor(
  { said: { unit, outcome, at } }: Piece,
  sheet: OutcomeSheet,
  nowMs: number,
): FiledOutcome {
  const { versionRead: _, ...rest } = outcomeOf(sheet);
  return {
    ...rest,
    outcome,
    row: unit + 1,
    serial: sheet.units[unit]!,
    left: outcome === 'failed' ? 'off' : 'running',
    at: new Date(nowMs - at * 60_000).toISOString(),
  };
}

/** What is said, without when: by it a code is known. */
const says = ({ said: { unit, outcome } }: Piece) => `${unit} ${outcome}`;
const statement = (one: Piece) => (one.form === 'code' ? says(one) : `${says(one)} ${one.said.at}`);

/** Judge: how many of what was taken in say something new, in the order in which it happened; codes are the latest. */
function countedOnce(taken: readonly Piece[]): number {
  let count = 0;
  for (const unit of [0, 1, 2]) {
    const own = taken.filter((one) => one.said.unit === unit);
    const codes = own.filter(({ form }) => form === 'code');
    const timed = own
      .filter(({ form }) => form !== 'code')
      .map((one, i) => ({ one, i }))
      .sort((a, b) => b.one.said.at - a.one.said.at || a.i - b.i)
      .map(({ one }) => one);
    let last = timed.at(-1);
    count += timed.length;
    for (const code of codes) {
      const saidBefore = timed.some((one) => says(one) === says(code));
      const newFailure = code.said.outcome === 'failed' && last !== undefined && says(last) !== says(code);
      if (saidBefore && !newFailure) continue;
      count += 1;
      last = code;
    }
  }
  return count;
}

test(
  'any order, any repetition',
  () =>
    checkSeeded(
      'tests/property/collect.test.ts',
      12,
      fc.asyncProperty(fc.array(piece, { minLength: 1, maxLength: 14 }), async (pieces) => {
        const workspace = await pocketWorkspace();
        try {
          const sheet = await workspace.sheet(...workspace.units);
          const nowMs = testClock.now();
          const paths = pieces.map((one, i) => {
            const outcome = outcomeFor(one, sheet, nowMs);
            const text = { file: asFile, qr: asQr, code: asCode }[one.form](outcome, sheet);
            return workspace.file(`${i}.txt`, text);
          });
          const { json } = await workspace.collect(...paths);
          // Judge: a file or QR code is new unless the same was there with the same time; a code, unless anything said it.
          const expected = pieces.filter((one, i) => {
            const before = pieces.slice(0, i);
            return one.form === 'code'
              ? !before.some((other) => says(other) === says(one))
              : !before.some((other) => statement(other) === statement(one));
          });
          expect(json.taken).toHaveLength(expected.length);
          expect(json.refused.map(({ code }: any) => code)).toEqual(
            Array(pieces.length - expected.length).fill('taken-already'),
          );
          // Once more, and the other way round: nothing is new.
          const again = await workspace.collect(...paths.toReversed());
          expect([again.exit, again.json.taken]).toEqual([3, []]);
          expect(workspace.outcomes()).toHaveLength(expected.length);
          const { json: audit } = await workspace.cli('audit');
          const release = audit.releases.find(({ release: name }: any) => name === 'kerb-22@126');
          expect(release?.tried ?? 0).toBe(countedOnce(expected));
        } finally {
          workspace.remove();
        }
      }),
    ),
  60_000,
);
