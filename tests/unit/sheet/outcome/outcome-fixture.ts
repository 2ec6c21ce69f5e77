// A sheet with its key, and outcomes of its units, for the tests of what a pocket page gives.

import fc from 'fast-check';
import type { CodedOutcome, OutcomeSheet, ReportedOutcome } from '../../../../src/sheet/outcome/outcome.ts';

export const key = '00112233445566778899aabbccddeeff0123456789abcdef0123456789abcdef';
export const otherKey = `ff${key.slice(2)}`;

export function sheetOf(changes: Partial<OutcomeSheet> = {}): OutcomeSheet {
  return {
    sheet: 'K7MD-29XX',
    key,
    version: '2.6.0',
    units: ['TB8120000834', 'TB8120001234', 'TB8120007777'],
    patterns: ['dark', 'awake', 'complete', 'refused'],
    ...changes,
  };
}

export const byHand = (changes: Partial<OutcomeSheet> = {}) => sheetOf({ units: [], ...changes });

export function updated(changes: Partial<ReportedOutcome> = {}): ReportedOutcome {
  return {
    sheet: 'K7MD-29XX',
    row: 2,
    serial: 'TB8120001234',
    outcome: 'updated',
    versionRead: '2.6.0',
    lights: 'complete',
    left: 'running',
    at: '2026-11-24T14:30:00.000+01:00',
    by: 'R. Quill',
    ...changes,
  };
}

const optional = <T>(arbitrary: fc.Arbitrary<T>) => fc.option(arbitrary, { nil: undefined });

const what = fc.oneof(
  fc.record({ outcome: fc.constantFrom('updated' as const, 'already-current' as const) }),
  fc.record({
    outcome: fc.constant('failed' as const),
    cause: optional(fc.constantFrom('release', 'card', 'unit', 'site', 'safety')),
  }),
  fc.record({
    outcome: fc.constant('deferred' as const),
    reason: optional(
      fc.constantFrom('no-access', 'refused', 'no-time', 'unsafe', 'wrong-hardware', 'no-card', 'other'),
    ),
  }),
);

function withoutAbsent<T extends object>(value: T): T {
  return Object.fromEntries(Object.entries(value).filter(([, one]) => one !== undefined)) as T;
}

const versions = fc.oneof(
  fc.constant('2.6.0'),
  fc.array(fc.nat({ max: 300 }), { minLength: 1, maxLength: 5 }).map((parts) => parts.join('.')),
  fc.constantFrom('2026-10-05', '118', '00.007'),
);

/** An outcome of some row of the sheet, or of a serial written in by hand. */
export function someOutcome(sheet: OutcomeSheet): fc.Arbitrary<CodedOutcome> {
  const unit =
    sheet.units.length > 0
      ? fc.nat({ max: sheet.units.length - 1 }).map((i) => ({ row: i + 1, serial: sheet.units[i]! }))
      : fc.stringMatching(/^[A-Z0-9][A-Z0-9./-]{2,30}$/).map((serial) => ({ row: 1, serial }));
  return fc
    .tuple(
      unit,
      what,
      optional(versions),
      fc.boolean(),
      optional(fc.constantFrom(...sheet.patterns)),
      optional(
        fc.constantFrom('running' as const, 'off' as const, 'locked-off' as const, 'no-life' as const),
      ),
    )
    .map(([where, came, versionRead, confirmed, lights, left]) =>
      withoutAbsent({
        sheet: sheet.sheet,
        ...where,
        ...came,
        versionRead,
        displayConfirmed:
          confirmed && versionRead !== undefined && versionRead !== sheet.version ? true : undefined,
        lights,
        left,
      } as CodedOutcome),
    );
}

const line = (most: number) =>
  fc
    .string({ minLength: 1, maxLength: most, unit: 'grapheme' })
    .filter((text) => text.length <= most && !/\p{Surrogate}/u.test(text));

export function someReport(sheet: OutcomeSheet): fc.Arbitrary<ReportedOutcome> {
  return fc
    .tuple(
      someOutcome(sheet),
      fc.record({
        at: fc.constantFrom('2026-11-24T14:30:00.000+01:00', '2026-02-28T23:59:59.999-09:30'),
        by: line(40),
        versionBefore: optional(versions),
        revision: optional(fc.constantFrom('A', 'R2')),
        card: optional(line(40)),
        case: optional(line(40)),
        told: optional(line(40)),
        note: optional(line(300)),
      }),
    )
    .map(([coded, rest]) => withoutAbsent({ ...coded, ...rest }) as ReportedOutcome);
}
