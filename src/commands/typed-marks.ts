// Marks as they were typed from paper, before the whole record is read for them: a slip of the fingers is asked about, not
// told as damage. It never counts as the right mark: so few digits must agree to the last one.

import type { Mark, RecordStore } from '../ports/record-store.ts';
import { parseMark } from '../record/mark-text.ts';
import { entryId } from '../record/seal-entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { Failure } from '../words/failure.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';

export function typedMarks(texts: readonly string[]): Mark[] {
  return texts.map((text) => {
    const mark = parseMark(text);
    if (mark !== undefined) return mark;
    throw new Failure({
      code: 'mark-form',
      exit: 2,
      summary: 'This is no mark.',
      seen: printable(text, 100),
      expected: 'the id of an entry and at least 16 digits of its hash, in quotes',
      where: '--mark',
      next: 'Type it as it stands on the sheet.',
    });
  });
}

/** Of another entry nearly all digits would be others: so few are the typist's. */
const mostSlips = 4;

/** Throws where a mark is nearly one that this record has. One that is far from it is the check's to tell. */
export async function requireNoSlip(store: RecordStore<UnitRecord>, marks: readonly Mark[]): Promise<void> {
  if (marks.length === 0) return;
  const laptops = (await store.marks()).map(({ laptop }) => laptop);
  for (const mark of marks) {
    const { laptop, seq, hash } = mark;
    const id = entryId(laptop, seq);
    if (!laptops.includes(laptop)) {
      const near = nearNames(laptop, laptops)[0];
      if (near !== undefined)
        throw slip(
          id,
          `the laptop ${printable(laptop)}`,
          `Is it ${near}? Compare the letters before the dash.`,
        );
      continue;
    }
    const here = await hashAt(store, mark);
    const places = here === undefined ? [] : slipsIn(hash, here);
    if (places.length === 0 || places.length > mostSlips) continue;
    const which = places.length === 1 ? `digit ${places[0]}` : `digits ${places.join(', ')}`;
    throw slip(
      id,
      `another one at ${which} of its hash`,
      `Compare ${which} with the paper and type it again. If the paper says just that, call the service lead: then the record is not the one that was marked.`,
    );
  }
}

/** As it stands there, whatever else is wrong with that entry. */
async function hashAt(store: RecordStore<UnitRecord>, { laptop, seq }: Mark): Promise<string | undefined> {
  for await (const { hash } of store.sealed({ laptop, fromSeq: seq, toSeq: seq })) return hash;
  return undefined;
}

/** Counted from 1. One digit too many or too few shifts all that follow: then the first place that differs. */
function slipsIn(typed: string, here: string): number[] {
  const differing = [...typed].flatMap((digit, at) => (digit === here[at] ? [] : [at]));
  const first = differing[0];
  if (first === undefined) return [];
  if (differing.length <= mostSlips) return differing.map((at) => at + 1);
  const rest = typed.slice(first + 1);
  const isTooMany = here.startsWith(typed.slice(0, first) + rest);
  const isTooFew = here.slice(first + 1).startsWith(typed.slice(first));
  return isTooMany || isTooFew ? [first + 1] : differing.map((at) => at + 1);
}

function slip(id: string, seen: string, next: string): Failure {
  return new Failure({
    code: 'mark-mistyped',
    exit: 2,
    summary: 'This mark is nearly one of this record: it seems to be mistyped. Nothing was checked.',
    seen,
    expected: 'a mark as it stands on the sheet or packet',
    where: `--mark ${printable(id)}`,
    next,
  });
}
