// `manifests trust KEY --name NAME`: lets the owner of a key sign manifests, with a line in the workspace's `trusted-signers`. The
// first one switches trust on: from then on nothing is read that is not signed. Without a key it says who is trusted.

import { keyFingerprint, type SshPublicKey } from '../bytes/ssh/public-key.ts';
import { readManifests } from '../manifest/read-manifests.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import type { Answer, Run } from './command.ts';
import type { Context } from './context.ts';
import { requireText } from './option-text.ts';
import { keyUnfit, readKeyFile } from './signers/read-key-file.ts';
import {
  addSignerLine,
  requirePrincipal,
  signerJson,
  signerLine,
  signerText,
  trustHere,
} from './signers/signer-lines.ts';
import { trustedOf } from './signers/trust-in-force.ts';

export const run: Run = async (context, [given], options) => {
  const { files, terminal, workspace } = context;
  if (given === undefined) return listed(context);
  const path = files.absolute(given);
  const file = readKeyFile(context, path);
  const { key } = file;
  if (key === undefined) throw keyUnfit(path, 'It lies under a passphrase: give the .pub file beside it.');
  const fingerprint = keyFingerprint(key);
  const asked =
    typeof options.name === 'string' ? options.name : await terminal.text('Whose key is it?', '--name NAME');
  const name = requirePrincipal(requireText(asked, '--name', 80));
  const before = trustHere(context);
  requireNew(context, key, name);
  const said = typeof options.confirm === 'string' ? options.confirm.trim() : undefined;
  if (said !== undefined && said !== fingerprint) throw otherKey(said, fingerprint, path);
  if (said === undefined && terminal.interactive) {
    terminal.notice(`${printable(name)}: ${key.type} ${fingerprint}`);
    if (before === undefined)
      terminal.notice('This switches trust on: manifests that nobody trusted has signed are no longer used.');
    const yes = await terminal.confirm(
      'Does the owner of the key say that this is its fingerprint?',
      '--confirm FINGERPRINT',
    );
    if (!yes) throw notConfirmed(fingerprint);
  }
  workspace.make();
  addSignerLine(context, signerLine(name, key, file.kind === 'public' ? file.comment : ''));
  return added(context, { name, key, fingerprint, isFirst: before === undefined });
};

function requireNew(context: Context, key: SshPublicKey, name: string): void {
  const { signers } = trustHere(context) ?? { signers: [] };
  const sameKey = signers.find((signer) => Buffer.from(signer.key.blob).equals(key.blob));
  const sameName = signers.find(({ principals }) => principals.toLowerCase() === name.toLowerCase());
  const taken = sameKey ?? sameName;
  if (taken === undefined) return;
  throw new Failure({
    code: 'signer-known',
    exit: 2,
    summary:
      sameKey !== undefined
        ? 'This key is trusted already. Nothing was changed.'
        : 'Another key is trusted under this name. Nothing was changed.',
    seen: printable(`${taken.principals}, ${keyFingerprint(taken.key)}`, 200),
    where: `${context.workspace.trustedSigners}:${taken.line}`,
    next:
      sameKey !== undefined
        ? 'Nothing. Who is trusted: slotproof manifests trust'
        : 'Give this key a name of its own, or first run: slotproof manifests distrust NAME',
  });
}

function otherKey(said: string, fingerprint: string, where: string): Failure {
  return new Failure({
    code: 'not-confirmed',
    exit: 5,
    summary: 'This is not the key that was confirmed. Nothing was changed.',
    seen: fingerprint,
    expected: printable(said, 120),
    where,
    next: 'Ask the owner of the key for its fingerprint: ssh-keygen -l -f KEY',
  });
}

function notConfirmed(fingerprint: string): Failure {
  return new Failure({
    code: 'not-confirmed',
    exit: 5,
    summary: 'Not confirmed. Nothing was changed.',
    seen: fingerprint,
    next: 'Ask the owner of the key for its fingerprint: ssh-keygen -l -f KEY',
  });
}

interface Added {
  readonly name: string;
  readonly key: SshPublicKey;
  readonly fingerprint: string;
  readonly isFirst: boolean;
}

async function added(context: Context, { name, key, fingerprint, isFirst }: Added): Promise<Answer> {
  const { refused, findings, count } = await standingOf(context);
  return {
    exit: exitCode.done,
    json: {
      verdict: refused === 0 ? 'sound' : 'unsound',
      findings,
      name,
      fingerprint,
      type: key.type,
      path: context.workspace.trustedSigners,
      trust: 'on',
      switchedOn: isFirst,
      signers: (trustHere(context)?.signers ?? []).map(signerJson),
    },
    text: [
      ...lineFaults(context, findings),
      `Trusted: ${printable(name)}, ${key.type} ${fingerprint}`,
      `${isFirst ? 'Trust is on now' : 'Trust is on'}: ${usable(count, refused)}`,
    ].join('\n'),
  };
}

/** Of manifests the number is enough here; what is wrong with the list itself is told. */
function lineFaults({ terminal }: Context, findings: readonly Finding[]): string[] {
  const faults = findings.filter(({ code }) => code === 'trusted-signers-bad');
  return faults.length > 0 ? [renderFindings(faults, terminal), ''] : [];
}

function usable(count: number, refused: number): string {
  const more = refused > 0 ? ' Which are not: slotproof manifests check' : '';
  return `${count - refused} of ${counted(count, 'manifest')} here may be used.${more}`;
}

interface Standing {
  readonly count: number;
  readonly refused: number;
  /** Warnings: the command has done what was asked. */
  readonly findings: readonly Finding[];
}

async function standingOf(context: Context): Promise<Standing> {
  const texts = readManifests(context.files, [context.workspace.manifests]);
  const trusted = await trustedOf(context, texts);
  const refused = trusted?.refused ?? [];
  const all = [...(trusted?.trust.findings ?? []), ...refused.map(({ finding }) => finding)];
  const findings = all.map((finding): Finding => ({ ...finding, severity: 'warn' }));
  return { count: texts.length, refused: refused.length, findings };
}

async function listed(context: Context): Promise<Answer> {
  const trust = trustHere(context);
  const { refused, findings, count } = await standingOf(context);
  const signers = trust?.signers ?? [];
  return {
    exit: exitCode.done,
    json: {
      verdict: refused === 0 ? 'sound' : 'unsound',
      findings,
      path: context.workspace.trustedSigners,
      trust: trust === undefined ? 'off' : 'on',
      signers: signers.map(signerJson),
    },
    text:
      trust === undefined
        ? 'Trust is off: manifests are used without a signature. slotproof manifests trust KEY --name NAME switches it on.'
        : [
            ...lineFaults(context, findings),
            ...signers.map((signer) => signerText(signer, context.clock)),
            `Trust is on: ${counted(signers.length, 'key')} trusted; ${usable(count, refused)}`,
          ].join('\n'),
  };
}
