// Trust in signatures as a command finds it: undefined where it is off, and then nothing of it is loaded.

import type { ManifestText } from '../../manifest/manifest-text.ts';
import { isTrustOn } from '../../manifest/trust/is-trust-on.ts';
import type { ReadTrusted } from '../../manifest/trust/read-trusted.ts';
import type { Context } from '../context.ts';

type World = Pick<Context, 'files' | 'workspace' | 'clock'>;

/** The texts that may be parsed, and why others may not. */
export async function trustedOf(
  { files, workspace, clock }: World,
  texts: readonly ManifestText[],
): Promise<ReadTrusted | undefined> {
  if (!isTrustOn(files, workspace.trustedSigners)) return undefined;
  const { readTrusted } = await import('../../manifest/trust/read-trusted.ts');
  return readTrusted(files, texts, { path: workspace.trustedSigners, clock });
}
