// Chains that went wrong, as findings: broken, running in a circle, shared. Names both files of a shared cluster
// where it can. Follows nothing itself.

import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { finding } from '../check/finding-codes.ts';
import { freeEntry } from '../fat/fat.ts';
import type { CardNode, FolderNode } from './examined-card.ts';
import { type Chain, tooManyRuns } from './walk-chain.ts';

/** Findings of one code that are told one by one. */
const maxFindings = 12;

export interface WalkedChain {
  readonly node: CardNode;
  readonly chain: Chain;
}

export function chainFindings(
  chains: readonly WalkedChain[],
  nodes: readonly CardNode[],
  root: FolderNode,
  /** What the table has for a bad cluster. */
  badMark: number,
): Finding[] {
  const next = 'Run prepare with --fresh: it keeps what can be read and lays the card out anew.';
  const broken: Finding[] = [];
  const loops: Finding[] = [];
  const crossed: Finding[] = [];
  for (const { node, chain } of chains) {
    const where = node.path === '' ? 'the root folder' : node.path;
    if (node.chain === 'loop') {
      const seen = `it comes back to cluster ${chain.at}`;
      loops.push(
        finding('chain-loop', { summary: 'A file’s chain of clusters runs in a circle.', seen, where, next }),
      );
    } else if (node.chain === 'cross-linked') {
      const other = crossed.length < maxFindings ? ownerOf(chain.at ?? 0, node, [root, ...nodes]) : undefined;
      const with_ =
        other === undefined ? 'itself or another file' : other.path === '' ? 'the root folder' : other.path;
      crossed.push(
        finding('cross-linked', {
          summary: 'Two files use the same clusters: at least one of them is wrong.',
          seen: `cluster ${chain.at} also belongs to ${with_}`,
          where,
          next,
        }),
      );
    } else {
      const seen = brokenText(node, chain, badMark);
      broken.push(
        finding('chain-broken', { summary: 'A file’s chain of clusters is broken.', seen, where, next }),
      );
    }
  }
  return [...limited(broken), ...limited(loops), ...limited(crossed)];
}

function brokenText(node: CardNode, chain: Chain, badMark: number): string {
  if (node.chain === 'short')
    return `${formatBytes(chain.clusterCount)} clusters, too few for ${formatBytes(node.sizeBytes)} bytes`;
  if (node.chain === 'long')
    return `${formatBytes(chain.clusterCount)} clusters, too many for ${formatBytes(node.sizeBytes)} bytes`;
  if (chain.at === tooManyRuns) return 'it lies in more pieces than a card can have';
  const after =
    chain.clusterCount === 0
      ? 'its first cluster is'
      : `after ${formatBytes(chain.clusterCount)} clusters it leads to`;
  if (chain.at === freeEntry && chain.clusterCount > 0) return `${after} a cluster that is marked as free`;
  if (chain.at === badMark) return `${after} one that is marked as bad`;
  return `${after} ${chain.at}, which does not exist`;
}

/** Whose cluster this is, beside `not`; looks through all nodes. */
export function ownerOf(cluster: number, not: CardNode, nodes: readonly CardNode[]): CardNode | undefined {
  return nodes.find(
    (node) =>
      node !== not &&
      node.runs.some((run) => cluster >= run.firstCluster && cluster < run.firstCluster + run.clusterCount),
  );
}

/** The first ones; the last of them says how many more there are. */
export function limited(findings: readonly Finding[]): Finding[] {
  if (findings.length <= maxFindings) return [...findings];
  const last = findings[maxFindings - 1]!;
  const more = `${last.summary} ${formatBytes(findings.length - maxFindings)} more are like this one.`;
  return [...findings.slice(0, maxFindings - 1), { ...last, summary: more }];
}
