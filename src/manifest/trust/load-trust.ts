// The workspace's `trusted-signers`: whether trust is switched on, and who is trusted. It is on as soon as something of that
// name is there, whatever it is: what cannot be read trusts nobody, and never switches trust off.

import type { Files } from '../../ports/files.ts';
import { Failure } from '../../words/failure.ts';
import type { Finding } from '../../words/finding.ts';
import { type AllowedSigner, decodeAllowedSigners, maxSignersBytes } from './allowed-signers.ts';

interface Zone {
  offsetMinutes(atMs: number): number;
}

export interface Trust {
  /** Absolute. */
  readonly path: string;
  readonly signers: readonly AllowedSigner[];
  /** Lines that trust nobody. */
  readonly findings: readonly Finding[];
}

export function loadTrust(files: Pick<Files, 'readBytes'>, path: string, zone: Zone): Trust {
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(
      files.readBytes(path, maxSignersBytes),
    );
  } catch (error) {
    if (!(error instanceof Failure || error instanceof TypeError)) throw error;
    const seen = error instanceof Failure ? error.facts.summary : 'not text in UTF-8';
    return { path, signers: [], findings: [unreadable(path, seen)] };
  }
  const { signers, faults } = decodeAllowedSigners(text, zone);
  const findings = faults.map(
    ({ line, summary }): Finding => ({
      code: 'trusted-signers-bad',
      severity: 'stop',
      summary: `A line of trusted-signers trusts nobody. ${summary}`,
      expected: 'NAME [OPTIONS] KEYTYPE KEY, as ssh-keygen(1) has it under ALLOWED SIGNERS',
      where: `${path}:${line}:1`,
      next: 'Correct the line or remove it.',
    }),
  );
  return { path, signers, findings };
}

function unreadable(path: string, seen: string): Finding {
  return {
    code: 'trusted-signers-bad',
    severity: 'stop',
    summary: 'trusted-signers cannot be read, so nobody is trusted and no manifest is used.',
    seen,
    where: path,
    next: 'Put back the file as it was, or make it anew: slotproof manifests trust KEY --name NAME',
  };
}
