// The sheets of this laptop that have a pocket page, by number, and all of them for a code that names none. Read once.

import type { OutcomeSheet } from '../../sheet/outcome/outcome.ts';
import { outcomeSheetOf } from '../../sheet/outcome/outcome-sheet.ts';
import { decodeSheetFacts, requireSheetFacts, type SheetFacts } from '../../sheet/sheet-facts.ts';
import { readSheetNumber } from '../../sheet/sheet-number.ts';
import { Failure } from '../../words/failure.ts';
import type { Context } from '../context.ts';

export interface KnownSheet {
  readonly facts: SheetFacts;
  readonly keyed: OutcomeSheet;
}

export interface SheetShelf {
  /** `unknown`: not made here; `no-page`: made here, but without a pocket page. */
  byNumber(number: string): KnownSheet | 'unknown' | 'no-page';
  /** Newest first, as many as are worth trying. */
  all(): readonly KnownSheet[];
}

const mostSheets = 2000;
const largestFactsBytes = 1_000_000;

export function sheetShelf({ files, workspace }: Pick<Context, 'files' | 'workspace'>): SheetShelf {
  const known = new Map<string, KnownSheet | 'unknown' | 'no-page'>();
  let all: readonly KnownSheet[] | undefined;

  const keyed = (facts: SheetFacts): KnownSheet | 'no-page' => {
    const sheet = outcomeSheetOf(facts);
    return sheet === undefined ? 'no-page' : { facts, keyed: sheet };
  };
  return {
    byNumber(number) {
      const before = known.get(number);
      if (before !== undefined) return before;
      let found: KnownSheet | 'unknown' | 'no-page';
      try {
        found = keyed(requireSheetFacts(files, workspace.sheets, number));
      } catch (error) {
        if (!(error instanceof Failure)) throw error;
        found = 'unknown';
      }
      known.set(number, found);
      return found;
    },
    all() {
      all ??= files
        .list(workspace.sheets)
        .filter(
          ({ name, kind }) => kind === 'file' && readSheetNumber(name.replace(/\.json$/, '')) !== undefined,
        )
        .map(({ name }) => ({ path: files.absolute(`${workspace.sheets}/${name}`) }))
        .map(({ path }) => ({ path, modifiedMs: files.facts(path)?.modifiedMs ?? 0 }))
        .sort((a, b) => b.modifiedMs - a.modifiedMs)
        .slice(0, mostSheets)
        .flatMap(({ path }) => {
          try {
            const found = keyed(decodeSheetFacts(files.readText(path, largestFactsBytes), path));
            return found === 'no-page' ? [] : [found];
          } catch (error) {
            // One that cannot be read is as good as none here; by its number it is told.
            if (error instanceof Failure) return [];
            throw error;
          }
        });
      return all;
    },
  };
}
