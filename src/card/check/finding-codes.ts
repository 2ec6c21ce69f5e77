// The one table of what can be found on a card: how grave each code is, and for a stop whether `prepare` can put
// it right (`fixable`) or the card takes another format or is not for this unit (`unfit`). The codes are part of
// the command line's contract; `finding` is the only way to make one.

import type { Finding, Severity } from '../../words/finding.ts';

export type StopKind = 'unfit' | 'fixable';

interface CodeFacts {
  readonly severity: Severity;
  readonly kind?: StopKind;
}

const unfit: CodeFacts = { severity: 'stop', kind: 'unfit' };
const fixable: CodeFacts = { severity: 'stop', kind: 'fixable' };
const warn: CodeFacts = { severity: 'warn' };
const note: CodeFacts = { severity: 'note' };

export const cardCodes = {
  'file-system-not-allowed': unfit,
  'partition-table-not-allowed': unfit,
  'capacity-too-small': unfit,
  'capacity-too-large': unfit,
  'cluster-too-large': unfit,
  'several-partitions': unfit,
  'partition-beyond-card': unfit,
  /** The volume is longer than its partition; where it is shorter this is a warning. */
  'partition-size-mismatch': unfit,
  'boot-sector-bad': unfit,
  'directory-damaged': unfit,
  'volume-error-flag': unfit,
  'fat-copies-differ': unfit,
  'chain-broken': unfit,
  'chain-loop': unfit,
  'cross-linked': unfit,
  'no-room': unfit,
  withdrawn: unfit,
  /** The record cannot be read, and with it no withdrawal that stands there. */
  'withdrawals-unread': unfit,
  /** exFAT: only `prepare` tells it, of a card that it was given by its sectors. */
  'written-by-mount': unfit,
  /** exFAT: what files use is marked as free, or the table of that is damaged. */
  'bitmap-wrong': unfit,
  /** Mounted cards: what the unit needs can only be seen by whoever may open the card itself. */
  'rule-needs-device': unfit,
  /** Mounted cards: what lies there is neither file nor folder. */
  'entry-unknown': unfit,
  /** Mounted cards: what was read may be what the computer remembers. */
  'not-read-from-card': fixable,
  'volume-dirty': fixable,
  'partition-not-active': fixable,
  'image-missing': fixable,
  'image-misnamed': fixable,
  'image-misplaced': fixable,
  'image-long-name': fixable,
  'image-size-mismatch': fixable,
  'image-digest-mismatch': fixable,
  'image-fragmented': fixable,
  'image-slot-too-late': fixable,
  'other-image': fixable,
  /** Notes where the rule lets other files be on the card. */
  'stray-file': fixable,
  litter: fixable,
  'lost-clusters': warn,
  'backup-boot-differs': warn,
  'gpt-copy-differs': warn,
  'gpt-protection-odd': warn,
  'image-hidden': warn,
  'cleaned-last': warn,
  'not-examined': warn,
  'free-count-wrong': note,
  'write-protected': note,
  'strays-allowed': note,
  'changed-by-unit': note,
  'result-on-card': note,
} as const satisfies Record<string, CodeFacts>;

export type CardCode = keyof typeof cardCodes;

export interface FindingText {
  readonly summary: string;
  readonly seen?: string;
  readonly expected?: string;
  readonly where?: string;
  readonly next: string;
}

/** `severity` only where the contract gives a code two of them. */
export function finding(code: CardCode, text: FindingText, severity?: Severity): Finding {
  return { code, severity: severity ?? cardCodes[code].severity, ...text };
}

/** What a stop asks for; a stop of a code that is not in the table is taken as the graver kind. */
export function stopKind(found: Finding): StopKind | undefined {
  if (found.severity !== 'stop') return undefined;
  const facts = (cardCodes as Record<string, CodeFacts>)[found.code];
  return facts?.kind ?? 'unfit';
}
