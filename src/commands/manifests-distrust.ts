// `manifests distrust NAME`: takes trust from one signer, by name or fingerprint. What only this key has signed is refused from
// then on. The file stays even when nobody is left in it: trust is switched off by hand alone.

import { keyFingerprint } from '../bytes/ssh/public-key.ts';
import { counted } from '../words/counted.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { Run } from './command.ts';
import { removeSignerLines, signerJson, signerText, trustHere } from './signers/signer-lines.ts';

export const run: Run = async (context, [given = '']) => {
  const { terminal, workspace } = context;
  const trust = trustHere(context);
  const wanted = given.trim().toLowerCase();
  const signers = trust?.signers ?? [];
  const meant = signers.filter(
    ({ principals, key }) => principals.toLowerCase() === wanted || keyFingerprint(key) === given.trim(),
  );
  if (meant.length === 0) {
    throw new Failure({
      code: 'signer-unknown',
      exit: 2,
      summary: trust === undefined ? 'Trust is off: nobody is trusted.' : 'Nobody of this name is trusted.',
      seen: printable(given, 80),
      ...(signers.length > 0 && {
        expected: printable(`one of: ${signers.map(({ principals }) => principals).join('; ')}`, 300),
      }),
      where: workspace.trustedSigners,
      next: 'Who is trusted: slotproof manifests trust',
    });
  }
  if (terminal.interactive) {
    for (const signer of meant) terminal.notice(signerText(signer, context.clock));
    if (!(await terminal.confirm('Take trust away from this key?', 'NAME'))) {
      throw new Failure({
        code: 'not-confirmed',
        exit: 5,
        summary: 'Not confirmed. Nothing was changed.',
        next: 'Run the same again when you are sure.',
      });
    }
  }
  removeSignerLines(context, new Set(meant.map(({ line }) => line)));
  const left = trustHere(context)?.signers ?? [];
  return {
    exit: exitCode.done,
    json: {
      removed: meant.map(signerJson),
      signers: left.map(signerJson),
      path: workspace.trustedSigners,
      trust: 'on',
    },
    text: [
      ...meant.map((signer) => `No longer trusted: ${signerText(signer, context.clock)}`),
      left.length > 0
        ? `Trust stays on: ${counted(left.length, 'key')} trusted.`
        : `Trust stays on and nobody is trusted: no manifest is used. Who wants trust off removes ${printable(workspace.trustedSigners, 400)}.`,
    ].join('\n'),
  };
};
