// Who signed the manifests of a packet, by the trust of this workspace alone: a packet brings manifests and signatures, never
// who is trusted. And what is told of a withdrawal that nobody trusted has signed.

import type { Catalogue } from '../../manifest/catalogue.ts';
import { releaseKey } from '../../manifest/catalogue.ts';
import { releasesInDoubt } from '../../manifest/trust/doubted-releases.ts';
import { isTrustOn } from '../../manifest/trust/is-trust-on.ts';
import type { SignatureVerdict } from '../../manifest/trust/judge-signature.ts';
import type { PacketManifest } from '../../record/packet/packet-lines.ts';
import type { Finding } from '../../words/finding.ts';
import { printable } from '../../words/printable.ts';
import type { Context } from '../context.ts';

/** `name`: what a finding names. */
export type JudgeManifest = (
  name: string,
  content: Uint8Array,
  signature: string | undefined,
) => SignatureVerdict;

/** undefined where trust is off. */
export async function packetJudge({
  files,
  workspace,
  clock,
}: Pick<Context, 'files' | 'workspace' | 'clock'>): Promise<JudgeManifest | undefined> {
  const path = workspace.trustedSigners;
  if (!isTrustOn(files, path)) return undefined;
  const [{ judgeSignature }, { loadTrust }] = await Promise.all([
    import('../../manifest/trust/judge-signature.ts'),
    import('../../manifest/trust/load-trust.ts'),
  ]);
  const { signers } = loadTrust(files, path, clock);
  const nowMs = clock.now();
  return (name, content, signature) => {
    const bytes = signature === undefined ? undefined : new TextEncoder().encode(signature);
    return judgeSignature(signers, { path: name, content, signature: bytes }, nowMs);
  };
}

/** A stop that nobody answers for is not heeded by itself, and never passed over in silence. */
export function checkDoubtful(
  doubtful: readonly Pick<PacketManifest, 'manifest' | 'text'>[],
  catalogue: Pick<Catalogue, 'releases'>,
): Finding[] {
  const inUse = catalogue.releases.filter(({ withdrawn }) => withdrawn === undefined);
  return doubtful.flatMap(({ manifest, text }) =>
    releasesInDoubt(text, inUse).map((release): Finding => {
      const key = releaseKey(release);
      return {
        code: 'withdrawal-in-doubt',
        severity: 'stop',
        summary: `A manifest in the packet may withdraw ${key}, but is not signed by anybody trusted. It was not taken, and ${key} is still in use here.`,
        where: printable(manifest, 200),
        next: `Ask the service lead before anybody uses it. To stop it now: slotproof withdraw ${key} --why TEXT`,
      };
    }),
  );
}

/** They are packed all the same: a draft must come to whoever signs it. */
export function checkPackedSignatures(
  manifests: readonly PacketManifest[],
  judge: JudgeManifest | undefined,
): Finding[] {
  if (judge === undefined) return [];
  return manifests.flatMap(({ manifest, text, signature }): Finding[] => {
    const verdict = judge(manifest, new TextEncoder().encode(text), signature ?? undefined);
    return verdict.kind === 'signed' ? [] : [{ ...verdict.finding, severity: 'warn' }];
  });
}
