// `manifests sign FILE --key KEY`: puts a lead's name to a manifest, as a detached signature in FILE.sig. What is signed is
// checked first, as `manifests check` does it: a signature under an unsound manifest would only mislead. The manifest
// itself is never changed, and trust is switched on or off by nothing here.

import { type KeySignature, keySignatureHolds, signWithKey } from '../bytes/ssh/key-signature.ts';
import { keyFingerprint, type SshPublicKey } from '../bytes/ssh/public-key.ts';
import { encodeSshSignature, signedBytes } from '../bytes/ssh/ssh-signature.ts';
import type { ManifestText } from '../manifest/manifest-text.ts';
import { readManifests } from '../manifest/read-manifests.ts';
import { judgeSignature, manifestNamespace } from '../manifest/trust/judge-signature.ts';
import { readSignature } from '../manifest/trust/read-trusted.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { type Finding, hasStop } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import type { Run } from './command.ts';
import type { Context } from './context.ts';
import { judgeManifests } from './signers/judge-manifests.ts';
import { readKeyFile } from './signers/read-key-file.ts';
import { trustedOf } from './signers/trust-in-force.ts';

const hash = 'sha512';

export const run: Run = async (context, positionals, options) => {
  const { files, terminal } = context;
  const given = positionals.filter((path) => path !== undefined).map((path) => files.absolute(path));
  const texts = requireFiles(context, given);
  const keyPath =
    typeof options.key === 'string'
      ? options.key
      : await terminal.text('Which SSH key signs it (the path of its file)?', '--key KEY');
  const signer = await openSigner(context, files.absolute(keyPath), given);
  const fingerprint = keyFingerprint(signer.key);
  const judged = await judgeManifests(context, texts);
  if (hasStop(judged.findings)) {
    return {
      exit: exitCode.no,
      json: { verdict: 'unsound', findings: judged.findings, signed: [], fingerprint },
      text: [
        renderFindings(judged.findings, terminal),
        '',
        'unsound: nothing was signed. Correct the manifest, then sign it.',
      ].join('\n'),
    };
  }
  const findings: Finding[] = [...judged.findings];
  const signed: { file: string; signature: string }[] = [];
  for (const text of texts) {
    findings.push(...(await signOne(context, text, signer)));
    signed.push({ file: text.path, signature: `${text.path}.sig` });
  }
  const trusted = await trustedOf(context, texts);
  findings.push(
    ...(trusted?.refused ?? []).map(({ finding }): Finding => ({ ...finding, severity: 'warn' })),
  );
  const first = signed[0];
  return {
    exit: exitCode.done,
    json: {
      verdict: 'sound',
      findings,
      file: first?.file ?? null,
      signature: first?.signature ?? null,
      signed,
      fingerprint,
      namespace: manifestNamespace,
      trust: trusted === undefined ? 'off' : 'on',
    },
    text: [
      ...(findings.length > 0 ? [renderFindings(findings, terminal), ''] : []),
      ...signed.map(({ signature }) => `Written: ${printable(signature, 1000)}`),
      `Signed: ${counted(signed.length, 'manifest')}, with ${signer.key.type} ${fingerprint}`,
    ].join('\n'),
  };
};

interface Signer {
  readonly key: SshPublicKey;
  sign(data: Uint8Array): Promise<KeySignature>;
}

function requireFiles({ files }: Context, given: readonly string[]): ManifestText[] {
  for (const path of given) {
    const kind = files.facts(path)?.kind;
    if (kind === 'file') continue;
    throw new Failure({
      code: kind === undefined ? 'file-absent' : 'not-a-file',
      exit: 2,
      summary: kind === undefined ? 'There is no such file.' : 'This is not a file.',
      where: path,
      next: 'Name the manifest itself.',
    });
  }
  if (given.length > 0) return readManifests(files, given);
  throw new Failure({
    code: 'argument-missing',
    exit: 2,
    summary: 'Which manifest is to be signed?',
    expected: 'slotproof manifests sign FILE --key KEY',
    next: 'Name the manifest.',
  });
}

async function openSigner(context: Context, path: string, given: readonly string[]): Promise<Signer> {
  const file = readKeyFile(context, path);
  if (file.kind === 'open') {
    const { key, secret } = file;
    return { key, sign: async (data) => signWithKey(key, secret, data) };
  }
  const { key } = file;
  if (key === undefined) throw locked(path, given);
  const agent = await context.keyAgent();
  return {
    key,
    async sign(data) {
      const made = await agent.sign(key.blob, data);
      if (made !== undefined) return made;
      throw file.kind === 'encrypted' ? locked(path, given) : notInAgent(path);
    },
  };
}

/** Its key derivation is bcrypt, which the tool does not have; ssh-keygen does. */
function locked(path: string, [first = 'FILE']: readonly string[]): Failure {
  return new Failure({
    code: 'key-locked',
    exit: 2,
    summary:
      'This key lies under a passphrase, which slotproof cannot open, and no running ssh-agent signs with it.',
    expected: 'a key without a passphrase, or one that was given to ssh-agent with ssh-add',
    where: path,
    next: `ssh-keygen asks for the passphrase: ssh-keygen -Y sign -n ${manifestNamespace} -f ${shown(path)} ${shown(first)}`,
  });
}

function notInAgent(path: string): Failure {
  return new Failure({
    code: 'key-locked',
    exit: 2,
    summary: 'This is a public key, and no running ssh-agent signs with its private half.',
    where: path,
    next: 'Give the file of the private key, or start ssh-agent and run ssh-add.',
  });
}

function shown(path: string): string {
  const text = printable(path, 400);
  return /^[\w./:\\@+-]+$/.test(text) ? text : `"${text}"`;
}

/** What is told of a signature that was there before. */
async function signOne(context: Context, text: ManifestText, signer: Signer): Promise<Finding[]> {
  const { files } = context;
  const content = text.content as Uint8Array;
  const data = signedBytes(content, manifestNamespace, hash);
  const { algorithm, value } = await signer.sign(data);
  if (!keySignatureHolds(signer.key, algorithm, value, data)) {
    throw new Failure({
      code: 'key-unfit',
      exit: 2,
      summary: 'What the key gave is no signature of its own. Nothing was written.',
      seen: printable(algorithm, 60),
      where: text.path,
      next: 'Sign with another key.',
    });
  }
  const armoured = encodeSshSignature({
    publicKey: signer.key.blob,
    namespace: manifestNamespace,
    hash,
    algorithm,
    value,
  });
  const before = readSignature(files, text.path);
  files.write(`${text.path}.sig`, armoured);
  if (before === undefined || Buffer.from(before).toString('latin1') === armoured) return [];
  const own = { line: 0, principals: 'own', key: signer.key, comment: '' };
  const everywhere = { namespaces: undefined, validAfterMs: undefined, validBeforeMs: undefined };
  const verdict = judgeSignature(
    [{ ...own, ...everywhere }],
    { path: text.path, content, signature: before },
    context.clock.now(),
  );
  if (verdict.kind === 'signed') return [];
  return [
    {
      code: 'signature-replaced',
      severity: 'note',
      summary: 'Another signature lay beside this manifest; the new one took its place.',
      seen: verdict.finding.seen ?? verdict.finding.summary,
      where: `${text.path}.sig`,
      next: 'Nothing, if you meant to sign it anew.',
    },
  ];
}
