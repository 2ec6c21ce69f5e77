// Whether the bytes of a manifest are signed by somebody who is trusted, for this purpose, now. Looks at the bytes as they
// are and at nothing in them. The verdict names who signed; everything else is a finding that keeps the manifest out.

import { keySignatureHolds } from '../../bytes/ssh/key-signature.ts';
import { decodePublicKey, keyFingerprint } from '../../bytes/ssh/public-key.ts';
import { decodeSshSignature, signedBytes } from '../../bytes/ssh/ssh-signature.ts';
import { SshFault } from '../../bytes/ssh/ssh-wire.ts';
import type { Finding } from '../../words/finding.ts';
import { printable } from '../../words/printable.ts';
import type { AllowedSigner } from './allowed-signers.ts';
import { matchesPatternList } from './pattern-list.ts';

/** What a signature of a manifest is made for; one that was made for anything else does not count. */
export const manifestNamespace = 'slotproof-manifest';

export interface SignedText {
  /** Absolute, or the name in a packet; what the finding names. */
  readonly path: string;
  readonly content: Uint8Array;
  /** undefined: there is none. */
  readonly signature: Uint8Array | undefined;
}

export type SignatureVerdict =
  | { readonly kind: 'signed'; readonly by: string; readonly fingerprint: string }
  | { readonly kind: 'unsigned' | 'signature-bad'; readonly finding: Finding };

export function judgeSignature(
  signers: readonly AllowedSigner[],
  { path, content, signature }: SignedText,
  nowMs: number,
): SignatureVerdict {
  if (signature === undefined) return { kind: 'unsigned', finding: unsigned(path) };
  const bad = (summary: string, seen?: string, expected?: string, next?: string): SignatureVerdict => ({
    kind: 'signature-bad',
    finding: {
      code: 'signature-bad',
      severity: 'stop',
      summary: `${summary} The manifest is not used.`,
      ...(seen !== undefined && { seen: printable(seen, 200) }),
      ...(expected !== undefined && { expected }),
      where: path,
      next: next ?? 'Ask the service lead for the manifest and its .sig file again; use neither until then.',
    },
  });
  try {
    const { publicKey, namespace, hash, algorithm, value } = decodeSshSignature(signature);
    const key = decodePublicKey(publicKey);
    const fingerprint = keyFingerprint(key);
    if (namespace !== manifestNamespace)
      return bad('The signature was made for another purpose.', namespace, manifestNamespace);
    if (!keySignatureHolds(key, algorithm, value, signedBytes(content, namespace, hash)))
      return bad(
        'The signature does not belong to these bytes: the manifest or its .sig file was changed.',
        `a signature by ${fingerprint}`,
        'a signature over the manifest as it is',
      );
    const lines = signers.filter(({ key: { blob } }) => Buffer.from(blob).equals(publicKey));
    if (lines.length === 0)
      return bad(
        'The manifest is signed with a key that is not trusted here.',
        fingerprint,
        'a key that stands in trusted-signers',
        'Ask the service lead whose key it is. Trusted ones: slotproof manifests trust',
      );
    const good = lines.find((line) => faultOf(line, nowMs) === undefined);
    if (good === undefined)
      return bad(
        `The key that signed the manifest ${lines.map((line) => faultOf(line, nowMs))[0]}.`,
        `${fingerprint}, of ${lines[0]?.principals ?? ''}`,
        'a key that is trusted for this now',
        'Ask the service lead to sign it anew with a key that is trusted now.',
      );
    return { kind: 'signed', by: good.principals, fingerprint };
  } catch (error) {
    if (!(error instanceof SshFault)) throw error;
    return bad(`The .sig file is no signature that can be used. ${error.message}`);
  }
}

function faultOf(
  { namespaces, validAfterMs, validBeforeMs }: AllowedSigner,
  nowMs: number,
): string | undefined {
  if (namespaces !== undefined && !matchesPatternList(manifestNamespace, namespaces))
    return 'is trusted for other purposes alone (namespaces)';
  if (validAfterMs !== undefined && nowMs < validAfterMs) return 'is not trusted yet (valid-after)';
  if (validBeforeMs !== undefined && nowMs > validBeforeMs) return 'is no longer trusted (valid-before)';
  return undefined;
}

function unsigned(path: string): Finding {
  return {
    code: 'unsigned',
    severity: 'stop',
    summary: 'The manifest is not signed, so it is not used.',
    seen: 'no .sig file beside it',
    expected: 'a signature by somebody in trusted-signers',
    where: path,
    next: `Let the service lead sign it: slotproof manifests sign ${printable(path, 400)} --key KEY`,
  };
}
