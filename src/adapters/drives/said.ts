// What another program said, value by value, without believing its types: systems print the same fact as a number, a
// text, a flag or not at all.

import { Failure } from '../../words/failure.ts';

const maxRows = 4096;

/** Trimmed; null where there is none. */
export function text(value: unknown): string | null {
  if (typeof value === 'number' || typeof value === 'bigint') return String(value);
  if (typeof value !== 'string') return null;
  const trimmed = value.replaceAll('\0', '').trim();
  return trimmed === '' ? null : trimmed;
}

/** A whole number of 0 or more; null where it is none. */
export function number(value: unknown): number | null {
  const found = typeof value === 'string' && value.trim() !== '' ? Number(value) : value;
  return typeof found === 'number' && Number.isSafeInteger(found) && found >= 0 ? found : null;
}

export function flag(value: unknown): boolean | null {
  if (typeof value === 'boolean') return value;
  const said = text(value)?.toLowerCase();
  if (said === '1' || said === 'true' || said === 'yes') return true;
  if (said === '0' || said === 'false' || said === 'no') return false;
  return null;
}

export function list(value: unknown): readonly unknown[] {
  return Array.isArray(value)
    ? value.slice(0, maxRows)
    : value === null || value === undefined
      ? []
      : [value];
}

export function records(value: unknown): Readonly<Record<string, unknown>>[] {
  return list(value).filter(
    (one): one is Record<string, unknown> => typeof one === 'object' && one !== null && !Array.isArray(one),
  );
}

export function driveTableUnreadable(program: string, cause?: unknown): Failure {
  return new Failure(
    {
      code: 'drives-unknown',
      exit: 6,
      summary: 'Which drives there are cannot be told on this computer, so none of them is touched.',
      where: program,
      next: `Make sure that ${program} works on this computer; card image files (*.img) work without it.`,
    },
    cause,
  );
}
