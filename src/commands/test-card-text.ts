// What a test of a card found, as findings and as a person reads it: what it holds, how sure that is, where it failed or
// was slow. The verdict comes last.

import { unitBytes } from '../card/capacity/free-space.ts';
import type { Proof } from '../ports/blocks.ts';
import type { Pace, TestOutcome } from '../transfer/test-card.ts';
import { type Look, renderFindings } from '../ui/finding-text.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { formatBytes, formatSize } from '../words/size.ts';

export interface TestedCard {
  readonly path: string;
  readonly claimedBytes: number;
  readonly freeBytes: number;
  readonly method: Proof;
  /** A share: 0.999. 1 where all free space was tested. */
  readonly confidence: number;
  readonly fraud: number;
  readonly full: boolean;
  readonly outcome: TestOutcome;
}

/** So many times slower than the middle one, and long enough for a clock to tell. */
const slowFactor = 8;
const leastSlowMs = 300;
const fewestPaces = 4;

const hows = {
  'begins-again': 'what is written beyond its end is written over what came before',
  loses: 'what is written beyond its end is lost',
  'keeps-last': 'only what was written last is there',
} as const;

const size = (bytes: number) => `${formatSize(bytes)} (${formatBytes(bytes)} bytes)`;

function slowRegions(paces: readonly Pace[]): Finding[] {
  return (['write', 'read'] as const).flatMap((what) => {
    const ofKind = paces.filter((pace) => pace.what === what && pace.ms > 0);
    if (ofKind.length < fewestPaces) return [];
    const rates = ofKind.map(({ lengthBytes, ms }) => lengthBytes / ms).sort((a, b) => a - b);
    const middle = rates[Math.floor(rates.length / 2)] ?? 0;
    const slow = ofKind.filter(
      ({ lengthBytes, ms }) => ms >= leastSlowMs && (lengthBytes / ms) * slowFactor < middle,
    );
    const [first] = slow;
    if (first === undefined) return [];
    const rate = (bytesPerMs: number) => `${formatSize(Math.round(bytesPerMs * 1000))}/s`;
    return [
      {
        code: 'slow-region',
        severity: 'warn',
        summary: `A part of the card is much slower to ${what} than the rest: it may be wearing out.`,
        seen: `${rate(first.lengthBytes / first.ms)}${slow.length > 1 ? `, and ${slow.length - 1} more parts` : ''}`,
        expected: `about ${rate(middle)}`,
        where: `byte ${formatBytes(first.offsetBytes)}`,
        next: 'Use another card where it matters; test this one again before it is used.',
      },
    ];
  });
}

export function testFindings({ claimedBytes, freeBytes, outcome }: TestedCard): Finding[] {
  const { verdict, realBytes, how, bad, paces } = outcome;
  const findings = slowRegions(paces);
  if (freeBytes * 2 < claimedBytes)
    findings.unshift({
      code: 'partly-tested',
      severity: 'warn',
      summary: 'Less than half of the card is free, and only free space is tested.',
      seen: `${size(freeBytes)} free`,
      expected: `about ${size(claimedBytes)}`,
      next: 'Copy what is on it elsewhere, then lay it out anew and test it empty.',
    });
  if (verdict === 'false-capacity')
    findings.push({
      code: 'capacity-false',
      severity: 'stop',
      summary: `The card holds less than it claims: ${how === null ? 'it loses data' : hows[how]}.`,
      seen: `about ${size(realBytes ?? 0)}`,
      expected: size(claimedBytes),
      next: 'Do not use it for anything. Keep it apart, and take another card.',
    });
  if (verdict === 'failing') {
    const badBytes = bad.reduce((sum, { lengthBytes }) => sum + lengthBytes, 0);
    findings.push({
      code: 'reads-differ',
      severity: 'stop',
      summary: 'The card gives other bytes back than were written to it.',
      seen: `${formatBytes(badBytes / unitBytes)} of the blocks read`,
      expected: 'the same bytes everywhere',
      where: `first at byte ${formatBytes(outcome.firstBad ?? 0)}`,
      next: 'Do not use it. Take another card.',
    });
  }
  return findings;
}

function verdictLine({ outcome, confidence, fraud, full, claimedBytes }: TestedCard): string {
  const percent = (share: number) => `${Number((share * 100).toFixed(3))} %`;
  switch (outcome.verdict) {
    case 'false-capacity':
      return `false capacity: it holds about ${formatSize(outcome.realBytes ?? 0)}, not ${formatSize(claimedBytes)}`;
    case 'failing':
      return 'failing: it gives other bytes back than were written';
    case 'holds':
      return full
        ? 'holds: every free byte was written, read back, and agrees'
        : `holds: a card that loses ${percent(fraud)} or more of its free space would have been found with ${percent(confidence)}`;
  }
}

export function renderTested(look: Look, tested: TestedCard, findings: readonly Finding[]): string {
  const line = (name: string, value: string) => `${name.padEnd(9)}${value}`;
  const { testedBytes } = tested.outcome.plan;
  const lines = [
    line('card', printable(tested.path, 1000)),
    line('claims', size(tested.claimedBytes)),
    line('free', size(tested.freeBytes)),
    line('tested', `${size(testedBytes)}, read back: ${tested.method}`),
  ];
  return [
    ...lines,
    ...(findings.length === 0 ? [] : ['', renderFindings(findings, look)]),
    '',
    verdictLine(tested),
  ].join('\n');
}
