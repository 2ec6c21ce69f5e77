// Whether a person means a drive by CARD, told from the path alone. Loads nothing of the guard: a card image file has no
// need of it.

import type { Context } from './context.ts';

/** false: a card image file, or nothing yet. */
export function isDrivePlace(context: Context, given: string): boolean {
  if (/^[A-Z]:[\\/]?$/i.test(given) || /^\\\\[.?]\\/.test(given) || /^\/dev\//.test(given)) return true;
  const kind = context.files.facts(given)?.kind;
  return kind === 'device' || kind === 'folder';
}
