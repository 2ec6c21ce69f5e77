// From the text of one manifest file to a product or a release, or to findings with file, line and column.
// All faults of a file are told, not the first alone. Names across files are not looked at here.

import type * as z from 'zod';
import type { Finding } from '../words/finding.ts';
import { bySeverity } from '../words/finding.ts';
import { nearNames } from '../words/near-names.ts';
import { printable } from '../words/printable.ts';
import { type Fault, findingOf, type Path, pathText } from './fault.ts';
import { maxManifestBytes } from './manifest-text.ts';
import { type Product, productSchema, type Release, releaseSchema, stepKinds } from './schema.ts';
import { decodeYaml, type YamlTree } from './yaml-tree.ts';

const maxFindings = 100;

export type Decoded =
  | { readonly kind: 'product'; readonly product: Product }
  | { readonly kind: 'release'; readonly release: Release }
  | { readonly kind: 'none' };

export interface ManifestFile {
  readonly path: string;
  readonly decoded: Decoded;
  readonly findings: readonly Finding[];
  /** What the file would define, were it sound; undefined where not even that can be read. */
  readonly id: string | undefined;
  /** Turns a fault found later into a finding with its place in this file. */
  finding(fault: Fault): Finding;
}

export function decodeManifest(path: string, content: string | Uint8Array): ManifestFile {
  const text = typeof content === 'string' ? content : utf8(content);
  if (text === undefined || text.length > maxManifestBytes) {
    return unreadable(path, text === undefined ? 'encoding' : 'size');
  }
  const tree = decodeYaml(text);
  const locate = (faultPath: Path, atKey: boolean) => `${path}:${tree.lineAndColumn(faultPath, atKey)}`;
  const finding = (fault: Fault) => findingOf(fault, locate);
  let findings: Finding[] = tree.faults.map(({ offset, earlierOffset, fatal: _, ...fault }) => ({
    ...fault,
    ...(earlierOffset !== undefined && { seen: `${fault.seen}, already at line ${tree.at(earlierOffset)}` }),
    where: `${path}:${tree.at(offset)}`,
  }));
  let decoded: Decoded = { kind: 'none' };
  if (tree.value !== undefined) {
    const judged = judge(tree);
    findings = findings.concat(judged.faults.map(finding));
    // A sound value out of a file with a doubled key is a guess at which of the two was meant.
    if (findings.length === 0) decoded = judged.decoded;
  }
  return { path, decoded, findings: bounded(findings, path), id: idOf(tree.value), finding };
}

function utf8(bytes: Uint8Array): string | undefined {
  if (bytes.length > maxManifestBytes) return '\n'.repeat(maxManifestBytes + 1);
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
  } catch {
    return undefined;
  }
}

function judge(tree: YamlTree): { decoded: Decoded; faults: Fault[] } {
  const value = tree.value as Record<string, unknown>;
  const kind = isMapping(value) ? value.manifest : undefined;
  if (kind === 'product') {
    const result = productSchema.safeParse(value);
    if (result.success) return { decoded: { kind, product: result.data }, faults: [] };
    return { decoded: { kind: 'none' }, faults: faultsOf(tree, result.error.issues) };
  }
  if (kind === 'release') {
    const result = releaseSchema.safeParse(value);
    if (result.success) return { decoded: { kind, release: result.data }, faults: [] };
    return { decoded: { kind: 'none' }, faults: faultsOf(tree, result.error.issues) };
  }
  const missing = !tree.has(['manifest']);
  const fault: Fault = {
    code: 'schema',
    severity: 'stop',
    path: ['manifest'],
    summary: missing
      ? 'This is no manifest: the key manifest is missing.'
      : 'No such kind of manifest is known.',
    seen: tree.seen(missing ? [] : ['manifest']),
    expected: 'manifest: product, or manifest: release',
    next: 'Begin the file with one of them, or move it out of the manifests folder.',
  };
  return { decoded: { kind: 'none' }, faults: [fault] };
}

function isMapping(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && Object.getPrototypeOf(value) === null;
}

type Issue = z.core.$ZodIssue;

function faultsOf(tree: YamlTree, issues: readonly Issue[], around: Path = []): Fault[] {
  const told = new Set<string>();
  const faults: Fault[] = [];
  for (const issue of issues) {
    // One place, one fault: what else is said of it is an echo of the first, and a mapping with a slip in a
    // key is not judged for what the key would have brought.
    const place = JSON.stringify(issue.path);
    if (issue.code === 'custom' && told.has(`${place} unrecognized_keys`)) continue;
    if (issue.code !== 'unrecognized_keys' && told.has(place)) continue;
    told.add(issue.code === 'unrecognized_keys' ? `${place} unrecognized_keys` : place);
    for (const fault of faultsOfIssue(tree, issue, around)) faults.push(fault);
  }
  return faults;
}

function faultsOfIssue(tree: YamlTree, issue: Issue, around: Path): Fault[] {
  const path: Path = [...around, ...(issue.path as (string | number)[])];
  if (isSpoilt(tree, path)) return [];
  if (issue.code === 'unrecognized_keys') {
    return issue.keys.map((key) => unknownKey([...path, key], key, issue.message));
  }
  if (issue.code === 'invalid_union') {
    const branch = branchMeant(tree, path, issue.errors);
    if (branch !== undefined) return faultsOf(tree, branch, path);
    const doubled = isStep(path) ? kindsIn(tree, path) : [];
    if (doubled.length > 1) return [stepOfTwoKinds(path, doubled)];
  }
  if (issue.code === 'invalid_key') {
    const expected = issue.issues[0]?.message ?? issue.message;
    return [{ ...wrongValue(tree, path, expected), atKey: true, seen: printable(String(path.at(-1)), 60) }];
  }
  return [tree.has(path) ? wrongValue(tree, path, issue.message) : missingKey(path, issue.message)];
}

function isSpoilt(tree: YamlTree, path: Path): boolean {
  return tree.spoilt.some((spoilt) => spoilt.every((part, i) => path[i] === part));
}

function isStep(path: Path): boolean {
  return path.length === 2 && path[0] === 'procedure';
}

function kindsIn(tree: YamlTree, path: Path): string[] {
  return stepKinds.filter((kind) => tree.has([...path, kind]));
}

/** Of the forms a value may have, the one that was plainly meant; its faults are the ones to tell. */
function branchMeant(
  tree: YamlTree,
  path: Path,
  branches: readonly (readonly Issue[])[],
): readonly Issue[] | undefined {
  if (isStep(path)) {
    const kinds = kindsIn(tree, path);
    return kinds.length === 1
      ? branches[stepKinds.indexOf(kinds[0] as (typeof stepKinds)[number])]
      : undefined;
  }
  const inner = branches.filter((issues) => !issues.some(isWrongForm));
  inner.sort((a, b) => strangeness(a) - strangeness(b));
  return inner[0];
}

function strangeness(issues: readonly Issue[]): number {
  return issues.reduce((sum, issue) => sum + (issue.code === 'unrecognized_keys' ? issue.keys.length : 1), 0);
}

function isWrongForm(issue: Issue): boolean {
  return issue.path.length === 0 && (issue.code === 'invalid_type' || issue.code === 'invalid_value');
}

function unknownKey(path: Path, key: string, expected: string): Fault {
  const near = nearNames(key, expected.replace(/^one of: /, '').split(', '), 1);
  return {
    code: 'unknown-key',
    severity: 'stop',
    path,
    atKey: true,
    summary: `The key '${printable(key, 60)}' is not known in ${pathText(path.slice(0, -1))}.`,
    seen: printable(key, 60),
    expected,
    next:
      near[0] === undefined
        ? 'Remove it, or correct the key.'
        : `Write ${near[0]}, if that is what you mean.`,
  };
}

function wrongValue(tree: YamlTree, path: Path, expected: string): Fault {
  return {
    code: 'schema',
    severity: 'stop',
    path,
    summary: `${pathText(path)} is not as it should be.`,
    seen: tree.seen(path),
    expected,
    next: 'Correct the value.',
  };
}

function missingKey(path: Path, expected: string): Fault {
  return {
    code: 'schema',
    severity: 'stop',
    path,
    summary: `${pathText(path)} is missing.`,
    seen: 'nothing',
    expected,
    next: `Add ${printable(String(path.at(-1)), 60)}.`,
  };
}

function stepOfTwoKinds(path: Path, kinds: readonly string[]): Fault {
  return {
    code: 'schema',
    severity: 'stop',
    path,
    summary: `${pathText(path)} does more than one thing.`,
    seen: kinds.join(' and '),
    expected: `exactly one of: ${stepKinds.join(', ')}`,
    next: 'Make a step of each.',
  };
}

function idOf(value: unknown): string | undefined {
  if (!isMapping(value)) return undefined;
  const text = (part: unknown) =>
    typeof part === 'string' ? part : ((part as { text?: string } | undefined)?.text ?? '?');
  if (value.manifest === 'product') return text(value.id);
  if (value.manifest === 'release') return `${text(value.product)}@${text(value.version)}`;
  return undefined;
}

function bounded(findings: readonly Finding[], path: string): Finding[] {
  if (findings.length <= maxFindings) return [...findings];
  return [
    ...bySeverity(findings).slice(-maxFindings),
    {
      code: 'schema',
      severity: 'stop',
      summary: `There are ${findings.length - maxFindings} more faults in this file.`,
      where: path,
      next: 'Correct these first.',
    },
  ];
}

function unreadable(path: string, why: 'encoding' | 'size'): ManifestFile {
  const finding: Finding = {
    code: 'schema',
    severity: 'stop',
    summary: why === 'size' ? 'The file is too large for a manifest.' : 'The file is not text in UTF-8.',
    expected: why === 'size' ? `${maxManifestBytes} bytes at most` : 'UTF-8',
    where: `${path}:1:1`,
    next: why === 'size' ? 'Check that this is a manifest.' : 'Save it again as UTF-8.',
  };
  return {
    path,
    decoded: { kind: 'none' },
    findings: [finding],
    id: undefined,
    finding: (fault) => findingOf(fault, () => `${path}:1:1`),
  };
}
