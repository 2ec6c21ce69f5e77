// Bytes kept as evidence: in the workspace, under their digest, so that the entry which names the digest proves the
// copy. Kept before the entry is written; the same bytes are kept once.

import { sha256Hex } from '../bytes/sha256.ts';
import type { Context } from './context.ts';

/** The digest. `ending`: of the file's name, letters and digits; for people's programs alone. */
export function keepEvidence(
  { files, workspace }: Pick<Context, 'files' | 'workspace'>,
  bytes: Uint8Array,
  ending: string | undefined,
): string {
  const sha256 = sha256Hex(bytes);
  const plain = ending !== undefined && /^[A-Za-z0-9]{1,5}$/.test(ending) ? `.${ending.toLowerCase()}` : '';
  const copy = `${workspace.evidence}/${sha256}${plain}`;
  files.makeFolder(workspace.evidence);
  if (files.facts(copy) === undefined) files.writeNew(copy, [bytes]);
  return sha256;
}
