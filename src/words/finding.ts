// What was seen: a finding has a code that never changes its meaning, a severity and one next step.
// The codes are the contract of the command line; this file does not decide what a finding leads to.

export type Severity = 'stop' | 'warn' | 'note';

export interface Finding {
  readonly code: string;
  readonly severity: Severity;
  /** One sentence in the technician's words. */
  readonly summary: string;
  readonly seen?: string;
  readonly expected?: string;
  /** Where: a path on the card, `file:line:column`, a sector. */
  readonly where?: string;
  /** The one thing to do now. */
  readonly next: string;
}

export function hasStop(findings: readonly Finding[]): boolean {
  return findings.some((finding) => finding.severity === 'stop');
}

const rank: Record<Severity, number> = { note: 0, warn: 1, stop: 2 };

/** Least important first: the line that matters most is printed last. Keeps the order within a severity. */
export function bySeverity(findings: readonly Finding[]): Finding[] {
  return [...findings].sort((a, b) => rank[a.severity] - rank[b.severity]);
}
