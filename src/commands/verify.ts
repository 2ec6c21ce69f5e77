// `verify FILE`: is this download what a manifest says? Reads the file once, decides by the manifests, and
// remembers a good one in the workspace so that `prepare` finds it. Never changes the file.

import { type Catalogue, releaseKey } from '../manifest/catalogue.ts';
import { type Identified, identifyDownload, type MeasuredFile } from '../manifest/identify-download.ts';
import type { Release } from '../manifest/schema.ts';
import { type Unread, withdrawalsUnread } from '../manifest/withdrawals.ts';
import { measureDownload } from '../transfer/measure-download.ts';
import { rememberDownload } from '../transfer/remembered-download.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { bySeverity, type Finding, hasStop } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { formatBytes } from '../words/size.ts';
import type { Run } from './command.ts';
import type { Context } from './context.ts';

export const run: Run = async (context, [path]) => {
  if (path === undefined) throw fileMissing();
  const catalogue = await context.catalogue();
  if (hasStop(catalogue.findings) && catalogue.untrusted === undefined) {
    context.terminal.notice('Some manifests are not sound and are not used. See: slotproof manifests check');
  }
  const file = await measured(context, path, catalogue.releases);
  const identified = inDoubt(identifyDownload(file, catalogue.releases), catalogue.withdrawalsUnread);
  if (identified.verdict === 'matches') remember(context, file, identified);
  const { verdict, release, as, member } = identified;
  const untrusted = untrustedFindings(catalogue, identified);
  const findings = bySeverity([...untrusted, ...identified.findings]);
  return {
    exit: verdict === 'matches' ? exitCode.done : exitCode.no,
    json: {
      verdict,
      file: file.path,
      bytes: file.bytes,
      digests: file.digests,
      release: release ? { product: release.product, version: release.version, as } : null,
      ...(member !== undefined && { member }),
      findings,
    },
    text: [
      ...factLines(file),
      ...(findings.length > 0 ? ['', renderFindings(findings, context.terminal)] : []),
      '',
      verdictLine(identified),
    ].join('\n'),
  };
};

/** The right bytes of a release that may be withdrawn, where the record that would say so cannot be read. */
function inDoubt(identified: Identified, unread: Unread | undefined): Identified {
  const { verdict, release, findings } = identified;
  if (unread === undefined || verdict !== 'matches' || release === undefined) return identified;
  const stop: Finding = { ...withdrawalsUnread(releaseKey(release), unread), severity: 'stop' };
  return { ...identified, verdict: 'differs', findings: [...findings, stop] };
}

/** That there are more, and where all are told, stands on standard error. */
const maxUntrusted = 20;

/** A manifest that was not let in may be the one that knows this file. A withdrawn release has nothing else against it. */
function untrustedFindings({ untrusted }: Catalogue, { verdict, release }: Identified): readonly Finding[] {
  if (untrusted === undefined || verdict === 'matches' || release?.withdrawn !== undefined) return [];
  const told = untrusted.findings.slice(0, maxUntrusted);
  if (verdict === 'unknown') return told;
  return told.map((finding) => ({ ...finding, severity: 'warn' }));
}

async function measured(context: Context, path: string, releases: readonly Release[]): Promise<MeasuredFile> {
  const progress = context.terminal.progress('reading', 'bytes');
  try {
    return await measureDownload(context, path, releases, progress.at);
  } finally {
    progress.end();
  }
}

/** Two changes within one tick of a file system's clock have one time; the coarsest ticks are two seconds long. */
const settledAfterMs = 2_000;

/** A note for convenience: a workspace that cannot be written does not make a good download bad. */
function remember(context: Context, file: MeasuredFile, { release, as }: Identified): void {
  if (release === undefined || as === undefined) return;
  const nowMs = context.clock.now();
  const changedMs = context.files.facts(file.path)?.changedMs ?? nowMs;
  const settled = nowMs - changedMs > settledAfterMs;
  try {
    rememberDownload(context.files, context.workspace, release, {
      path: file.path,
      bytes: file.bytes,
      digests: file.digests,
      as,
      at: new Date(nowMs).toISOString(),
      ...(file.stamp !== undefined && settled && { stamp: file.stamp }),
    });
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    context.terminal.notice(
      `Not remembered for prepare: ${printable(error.facts.summary)} Give it as --from FILE there.`,
    );
  }
}

function factLines(file: MeasuredFile): string[] {
  const kinds = Object.entries(file.digests);
  const width = Math.max(...kinds.map(([kind]) => kind.length), 'file'.length);
  const line = (name: string, value: string) => `${name.padEnd(width)}  ${value}`;
  return [
    line('file', printable(file.path, 1000)),
    line('size', `${formatBytes(file.bytes)} bytes`),
    ...kinds.map(([kind, hex]) => line(kind, hex)),
  ];
}

function verdictLine({ verdict, release, as, member, findings }: Identified): string {
  if (release === undefined) return 'unknown: no manifest knows this file';
  const what =
    as === 'image'
      ? 'the firmware file'
      : member === undefined
        ? "the maker's download"
        : 'an archive that holds the firmware file';
  if (verdict === 'matches') return `matches: ${what} of ${releaseKey(release)}`;
  const isInDoubt = findings.some(({ code }) => code === 'withdrawals-unread');
  return `differs: do not use this file for ${releaseKey(release)}${isInDoubt ? ' before the record can be read' : ''}`;
}

function fileMissing(): Failure {
  return new Failure({
    code: 'argument-missing',
    exit: 2,
    summary: 'Which file is to be verified?',
    expected: 'slotproof verify FILE',
    next: "Name the maker's download.",
  });
}
