// `manifests check`: judges the manifests of the workspace, or files and folders that are named, and tells
// every fault with file, line and column, and of each sound product what the check for gaps looked at. Named ones
// are judged against those of the workspace, so that a release by itself finds its product. Where trust in signatures is on,
// one that is not signed is told and not read, but for a draft that its writer names as such. Changes nothing.

import type { Catalogue } from '../manifest/catalogue.ts';
import type { ManifestText } from '../manifest/manifest-text.ts';
import { readManifests } from '../manifest/read-manifests.ts';
import type { ReadTrusted } from '../manifest/trust/read-trusted.ts';
import { type GapCheck, gapStatement } from '../procedure/check-gaps.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { bySeverity, type Finding, hasStop } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import type { Run } from './command.ts';
import type { Context } from './context.ts';
import { type GapReport, gapReportJson, renderGapReport } from './gap-reports.ts';
import { judgeManifests } from './signers/judge-manifests.ts';
import { trustedOf } from './signers/trust-in-force.ts';

export const run: Run = async (context, positionals, options) => {
  const named = positionals.filter((path) => path !== undefined);
  const texts = requireManifests(context, named);
  const isDraft = options.draft === true;
  const trusted = isDraft ? undefined : await trustedOf(context, texts);
  const isAll = named.length === 0 && !isDraft;
  const { catalogue, checks, findings: told } = await judgeManifests(context, trusted?.texts ?? texts, isAll);
  const paths = new Set(texts.map(({ path }) => path));
  const findings = bySeverity([
    ...told,
    ...(isAll ? (trusted?.trust.findings ?? []) : []),
    ...(trusted?.refused ?? []).map(({ finding }) => finding),
  ]);
  const unsound = hasStop(findings);
  const counts = countsOf(catalogue, paths);
  const reports = reportsOf(catalogue, paths, checks);
  return {
    exit: unsound ? exitCode.no : exitCode.done,
    json: {
      verdict: unsound ? 'unsound' : 'sound',
      findings,
      files: texts.length,
      ...counts,
      gapChecks: reports.map(gapReportJson),
      ...signaturesJson(trusted),
      statement: gapStatement,
    },
    text: [
      ...(findings.length > 0 ? [renderFindings(findings, context.terminal), ''] : []),
      ...reports.flatMap((report) => [renderGapReport(report, context.terminal.columns), '']),
      ...signaturesText(trusted),
      verdictLine(texts.length, counts, findings),
    ].join('\n'),
  };
};

function requireManifests(context: Context, named: readonly string[]): ManifestText[] {
  const { files, workspace } = context;
  for (const path of named) {
    if (files.facts(path) !== undefined) continue;
    throw new Failure({
      code: 'file-absent',
      exit: 2,
      summary: 'There is no such file or folder.',
      where: files.absolute(path),
      next: 'Check the path.',
    });
  }
  const texts = readManifests(files, named.length === 0 ? [workspace.manifests] : named);
  if (texts.length > 0) return texts;
  throw new Failure({
    code: 'no-manifests',
    exit: 2,
    summary: 'There are no manifests here.',
    expected: 'files that end in .yaml, .yml or .json',
    where: named.length === 0 ? workspace.manifests : named.map((path) => files.absolute(path)).join(', '),
    next: 'Put manifests there, or name files or folders: slotproof manifests check PATH',
  });
}

interface Counts {
  readonly products: number;
  readonly releases: number;
}

function countsOf(catalogue: Catalogue, paths: ReadonlySet<string>): Counts {
  const here = [...catalogue.sources].filter(([, path]) => paths.has(path)).map(([key]) => key);
  const releases = here.filter((key) => key.includes('@')).length;
  return { products: here.length - releases, releases };
}

/** Of the sound products that stand in the manifests asked about. */
function reportsOf(
  catalogue: Catalogue,
  paths: ReadonlySet<string>,
  checks: ReadonlyMap<string, GapCheck>,
): GapReport[] {
  return [...catalogue.products.values()].flatMap((product) => {
    const check = checks.get(product.id);
    const here = paths.has(catalogue.sources.get(product.id) ?? '');
    return here && check !== undefined ? [{ product, check }] : [];
  });
}

function signaturesJson(trusted: ReadTrusted | undefined): Record<string, unknown> {
  if (trusted === undefined) return { trust: 'off' };
  return { trust: 'on', signedBy: [...trusted.signedBy].map(([path, by]) => ({ path, by })) };
}

function signaturesText(trusted: ReadTrusted | undefined): string[] {
  if (trusted === undefined) return [];
  const counts = new Map<string, number>();
  for (const by of trusted.signedBy.values()) counts.set(by, (counts.get(by) ?? 0) + 1);
  const parts = [...counts].map(([by, count]) => `${count} by ${printable(by, 80)}`);
  if (trusted.refused.length > 0) parts.push(`${trusted.refused.length} REFUSED`);
  return [`Signed: ${parts.join(', ')}.`];
}

function verdictLine(files: number, counts: Counts, findings: readonly Finding[]): string {
  const stops = findings.filter(({ severity }) => severity === 'stop').length;
  const warnings = findings.filter(({ severity }) => severity === 'warn').length;
  const told = `${counted(files, 'manifest')}; ${counted(stops, 'stop')}, ${counted(warnings, 'warning')}`;
  if (stops > 0) return `unsound: ${told}. What is unsound is not used.`;
  const holds = `${counted(counts.products, 'product')}, ${counted(counts.releases, 'release')}`;
  return `sound: ${told}; ${holds}; ${gapStatement}`;
}
