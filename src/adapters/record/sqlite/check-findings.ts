// What the parts of a check have in common: damage of the file is a finding, and of findings there is an end.

import type { Finding } from '../../../words/finding.ts';
import { printable } from '../../../words/printable.ts';

/** Beyond these a person needs no more to know that the record is damaged. */
export const maxFindings = 1000;

export function atMost(found: Iterable<Finding>): Finding[] {
  const findings: Finding[] = [];
  for (const finding of found) {
    if (findings.length >= maxFindings) return [...findings, more];
    findings.push(finding);
  }
  return findings;
}

const more: Finding = {
  code: 'more-findings',
  severity: 'note',
  summary: `There is more than these ${maxFindings} findings say.`,
  next: 'Call the service lead.',
};

/** Pages that cannot be read end this part of the check; what was found before still counts. */
export function* untilDamage(part: () => Iterable<Finding>): Generator<Finding> {
  try {
    yield* part();
  } catch (error) {
    if (!isDamage(error)) throw error;
    yield databaseDamaged((error as Error).message);
  }
}

/** Pages that cannot be read. */
export function isDamage(error: unknown): boolean {
  return String((error as { code?: unknown }).code).startsWith('SQLITE_CORRUPT');
}

export function databaseDamaged(seen: string): Finding {
  return {
    code: 'database-damaged',
    severity: 'stop',
    summary: 'The file of the record is damaged.',
    seen: printable(seen),
    next: 'Run slotproof record salvage FILE: it changes nothing here, and writes all that can be saved to FILE.',
  };
}
