// Whether trust in signatures is switched on: something is called `trusted-signers` in the workspace. A link that leads
// nowhere counts as well. All that a workspace without it pays for signatures is this look.

import type { Files } from '../../ports/files.ts';

/** `path`: of `trusted-signers`, absolute. */
export function isTrustOn(files: Pick<Files, 'facts' | 'list'>, path: string): boolean {
  if (files.facts(path) !== undefined) return true;
  const cut = Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\'));
  const name = path.slice(cut + 1);
  return files.list(path.slice(0, cut)).some((entry) => entry.name === name);
}
