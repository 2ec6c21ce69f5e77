// One thing wrong in a manifest, with its place inside the manifest; and how it becomes a finding with
// `file:line:column`, once the text that the place belongs to is known.

import type { Finding, Severity } from '../words/finding.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';

export type Path = readonly (string | number)[];

export interface Fault {
  readonly code: string;
  readonly severity: Severity;
  readonly path: Path;
  /** Points at the key rather than at its value. */
  readonly atKey?: boolean;
  readonly summary: string;
  readonly seen?: string;
  readonly expected?: string;
  readonly next: string;
}

export type Locate = (path: Path, atKey: boolean) => string;

export function findingOf(fault: Fault, locate: Locate): Finding {
  return {
    code: fault.code,
    severity: fault.severity,
    summary: fault.summary,
    ...(fault.seen !== undefined && { seen: fault.seen }),
    ...(fault.expected !== undefined && { expected: fault.expected }),
    where: locate(fault.path, fault.atKey ?? false),
    next: fault.next,
  };
}

/** Where in the manifest, for people, who count from one: `procedure #4.needs`. */
export function pathText(path: Path): string {
  const text = path
    .map((part) => (typeof part === 'number' ? ` #${part + 1}` : `.${printable(part, 40)}`))
    .join('');
  return text.replace(/^\./, '') || 'the manifest';
}

/** `seen` names something that is not there; the nearest known names go into what to do next. */
export function unknownName(
  path: Path,
  kind: string,
  seen: string,
  known: readonly string[],
  atKey = false,
): Fault {
  const near = nearNames(seen, known);
  return {
    code: 'unknown-name',
    severity: 'stop',
    path,
    atKey,
    summary: `There is no ${kind} called '${printable(seen, 60)}'.`,
    seen: printable(seen, 60),
    expected:
      known.length === 0
        ? `no ${kind}, since none is defined`
        : `one of: ${printable(known.join(', '), 300)}`,
    next:
      near.length > 0
        ? `Write ${near.join(' or ')}, if that is what you mean.`
        : `Define it, or correct the name.`,
  };
}

export function stop(
  code: string,
  path: Path,
  summary: string,
  more: Pick<Fault, 'next'> & Partial<Fault>,
): Fault {
  return { code, severity: 'stop', path, summary, ...more };
}

/** Each later twin is told, at its own place. */
export function twins(names: readonly string[], pathOf: (index: number) => Path, what: string): Fault[] {
  const seen = new Set<string>();
  const faults: Fault[] = [];
  names.forEach((name, index) => {
    if (seen.has(name)) {
      faults.push(
        stop('duplicate-name', pathOf(index), `There are two ${what} called '${printable(name, 60)}'.`, {
          seen: printable(name, 60),
          expected: 'each name once',
          next: 'Rename one of them, or remove it.',
        }),
      );
    }
    seen.add(name);
  });
  return faults;
}
