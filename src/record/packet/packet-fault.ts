// Why a packet is not taken in: a value for the person, thrown since one wrong byte ends the reading at once. It is no
// Failure: the command ran, and the answer is no.

import type { Finding } from '../../words/finding.ts';

const nextSteps = {
  'packet-damaged': 'Ask for the packet again; nothing of this one was taken in.',
  'packet-cut-short': 'Copy it again from the stick or the mail; nothing of it was taken in.',
  'packet-newer': 'Use the newer version of slotproof that packed it.',
  'packet-unsound':
    'Do not use it. Ask who packed it to run slotproof record check, and tell the service lead.',
  'not-a-packet': 'Give the file that slotproof record pack wrote.',
} as const;

export type PacketFaultCode = keyof typeof nextSteps;

export class PacketFault extends Error {
  readonly finding: Finding;

  constructor(
    code: PacketFaultCode,
    summary: string,
    facts: { readonly seen?: string; readonly expected?: string; readonly where?: string } = {},
  ) {
    super(summary);
    this.name = 'PacketFault';
    this.finding = { code, severity: 'stop', summary, ...facts, next: nextSteps[code] };
  }
}
