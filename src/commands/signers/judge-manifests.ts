// Judges manifests that a person names against those of the workspace, so that a release by itself finds its product. Of the
// workspace's those alone that may be parsed; of the named ones whatever the caller hands in.

import { buildCatalogue } from '../../manifest/build-catalogue.ts';
import type { Catalogue } from '../../manifest/catalogue.ts';
import { decodeManifest } from '../../manifest/decode-manifest.ts';
import type { ManifestText } from '../../manifest/manifest-text.ts';
import { readManifests } from '../../manifest/read-manifests.ts';
import { checkGaps, type GapCheck } from '../../procedure/check-gaps.ts';
import { bySeverity, type Finding } from '../../words/finding.ts';
import type { Context } from '../context.ts';
import { trustedOf } from './trust-in-force.ts';

export interface JudgedManifests {
  readonly catalogue: Catalogue;
  /** By product. */
  readonly checks: ReadonlyMap<string, GapCheck>;
  /** Of the named ones alone. */
  readonly findings: readonly Finding[];
}

/** `isAll`: these are all of the workspace's, and nothing stands around them. */
export async function judgeManifests(
  context: Pick<Context, 'files' | 'workspace' | 'clock'>,
  texts: readonly ManifestText[],
  isAll = false,
): Promise<JudgedManifests> {
  const around = isAll ? [] : await backgroundOf(context, texts);
  const checks = new Map<string, GapCheck>();
  const catalogue = buildCatalogue([...texts, ...around], (product) => {
    const check = checkGaps(product);
    checks.set(product.id, check);
    return check.findings;
  });
  const paths = new Set(texts.map(({ path }) => path));
  const findings = bySeverity(catalogue.findings.filter(({ where }) => paths.has(fileOf(where ?? ''))));
  return { catalogue, checks, findings };
}

/** What the workspace says of anything that the named manifests do not define anew. */
async function backgroundOf(
  context: Pick<Context, 'files' | 'workspace' | 'clock'>,
  texts: readonly ManifestText[],
): Promise<ManifestText[]> {
  const all = readManifests(context.files, [context.workspace.manifests]);
  const usable = (await trustedOf(context, all))?.texts ?? all;
  const defined = new Set(texts.map(({ path, content }) => decodeManifest(path, content).id));
  const paths = new Set(texts.map(({ path }) => path));
  return usable.filter(
    ({ path, content }) => !paths.has(path) && !defined.has(decodeManifest(path, content).id),
  );
}

/** `/a/b.yaml:12:3` is about `/a/b.yaml`. */
function fileOf(where: string): string {
  return where.replace(/:\d+:\d+$/, '');
}
