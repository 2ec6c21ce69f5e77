// What is kept beside a printed sheet, so that its rows can be logged from paper later: number, release, units
// in the order of the rows, which number stands for which step, the mark, and when and by whom it was made. The
// text itself is the paper's; this is no copy of it.

import * as z from 'zod';
import type { Files } from '../ports/files.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import { readSheetNumber } from './sheet-number.ts';
import type { SheetView } from './sheet-view.ts';

const mark = z.object({ laptop: z.string().max(64), seq: z.int().nonnegative(), hash: z.string().max(64) });

/** Unknown keys are let through: a later version of the tool may have written more. */
const schema = z.object({
  format: z.literal(1),
  sheet: z.string().max(20),
  /** `product@version`. */
  release: z.string().max(200),
  product: z.string().max(100),
  /** Revision of the product's manifest. */
  revision: z.number().nullable(),
  language: z.string().max(20),
  madeAt: z.string().max(40),
  madeBy: z.string().max(200).nullable(),
  dayEnds: z.string().max(10).nullable(),
  /** In the order of the rows; empty: one row, its serial written in by hand. */
  units: z.array(z.object({ serial: z.string().max(64), hardware: z.string().max(64).nullable() })).max(200),
  steps: z.array(z.object({ number: z.int().positive(), id: z.string().max(64) })).max(1000),
  mark: mark.nullable(),
  /** Where a pocket page was made: by what its outcomes are known, and the patterns in the order of its codes. */
  pocket: z
    .object({
      key: z.string().regex(/^[0-9a-f]{64}$/),
      patterns: z.array(z.string().max(64)).max(100),
    })
    .optional(),
});

export type SheetFacts = z.output<typeof schema>;

/** `madeAt`: ISO 8601 with the local offset. */
export function sheetFacts(view: SheetView, madeAt: string): SheetFacts {
  return {
    format: 1,
    sheet: view.number,
    release: view.release.id,
    product: view.product.id,
    revision: view.product.revision,
    language: view.language,
    madeAt,
    madeBy: view.made.by,
    dayEnds: view.time.dayEnds,
    units: view.byHand ? [] : view.units.map(({ serial, hardware }) => ({ serial: serial ?? '', hardware })),
    steps: view.steps.flatMap(({ number, id }) => (id === null ? [] : [{ number, id }])),
    mark: view.mark,
  };
}

export function encodeSheetFacts(facts: SheetFacts): string {
  return `${JSON.stringify(facts, null, 2)}\n`;
}

export function decodeSheetFacts(text: string, path: string): SheetFacts {
  const parsed = schema.safeParse(jsonOf(text));
  if (parsed.success) return parsed.data;
  const issue = parsed.error.issues[0];
  throw new Failure({
    code: 'sheet-unreadable',
    exit: 2,
    summary: 'What was kept of this sheet cannot be read.',
    ...(issue !== undefined && { seen: printable(`${issue.path.join('.')}: ${issue.message}`) }),
    where: path,
    next: 'Log its rows one by one: slotproof log SERIAL OUTCOME.',
  });
}

function jsonOf(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

export interface SheetPlaces {
  readonly facts: string;
  /** By how a form's file ends: `txt`, `html`, `pdf`. */
  sheet(ending: string): string;
  slip(ending: string): string;
}

/** `folder` is the workspace's folder of sheets. */
export function sheetPlaces(folder: string, number: string): SheetPlaces {
  return {
    facts: `${folder}/${number}.json`,
    sheet: (ending) => `${folder}/${number}.${ending}`,
    slip: (ending) => `${folder}/${number}-slip.${ending}`,
  };
}

const largestFactsBytes = 1_000_000;

/** By the number as a person typed it from paper; Failure exit 2 where it is mistyped or not known here. */
export function requireSheetFacts(files: Files, folder: string, typed: string): SheetFacts {
  const number = readSheetNumber(typed);
  if (number === undefined) {
    throw new Failure({
      code: 'sheet-number-mistyped',
      exit: 2,
      summary: 'This is no number of a sheet: a character is wrong, missing or too many.',
      seen: printable(typed, 40),
      expected: 'eight characters, such as K7MD-29XH',
      next: 'Read it again from the foot of the page.',
    });
  }
  const path = files.absolute(sheetPlaces(folder, number).facts);
  if (files.facts(path) === undefined) {
    throw new Failure({
      code: 'sheet-unknown',
      exit: 2,
      summary: `Sheet ${number} was not made on this laptop.`,
      where: path,
      next: 'Log its rows one by one: slotproof log SERIAL OUTCOME.',
    });
  }
  return decodeSheetFacts(files.readText(path, largestFactsBytes), path);
}
