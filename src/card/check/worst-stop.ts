// Which of the stops on a card decides what to do next: what takes another card or release wins over what takes a new
// format, and that over what `prepare` puts right. Of equals the last one told.

import type { Finding } from '../../words/finding.ts';
import { stopKind } from './finding-codes.ts';

/** What `--fresh` would not put right either, or not first of all; the gravest first. */
const beyondFresh = [
  'withdrawn',
  'withdrawals-unread',
  'capacity-too-small',
  'capacity-too-large',
  'rule-needs-device',
  'entry-unknown',
  'written-by-mount',
];

export const isBeyondFresh = ({ code }: Finding) => beyondFresh.includes(code);

export function worstStop(findings: readonly Finding[]): Finding | undefined {
  const stops = findings.filter(({ severity }) => severity === 'stop');
  const [gravest] = stops
    .filter(isBeyondFresh)
    .sort((a, b) => beyondFresh.indexOf(a.code) - beyondFresh.indexOf(b.code));
  return gravest ?? stops.filter((one) => stopKind(one) === 'unfit').at(-1) ?? stops.at(-1);
}
