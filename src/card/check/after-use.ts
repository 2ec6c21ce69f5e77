// What a unit may have changed on a card that was in it, by the card rule's `afterUse`: told as a note beside the stops,
// so that a card that comes back from a visit is not taken for a bad one. Never makes a card ready, and never excuses
// what no unit of the product does.

import type { AfterUse, ResultFile } from '../../manifest/product-schema.ts';
import type { Finding } from '../../words/finding.ts';
import type { FileTree } from '../look/examined-card.ts';
import { finding } from './finding-codes.ts';

export interface AfterUseRule {
  readonly afterUse: AfterUse;
  /** Where the product's units leave one. */
  readonly resultFile?: Pick<ResultFile, 'name' | 'folder'> | undefined;
}

/** The stops that a unit of that kind causes by doing as its maker says. */
const causes: Readonly<Record<AfterUse, readonly string[]>> = {
  unchanged: [],
  writes: ['stray-file'],
  renames: ['image-misnamed', 'image-missing'],
  consumes: ['image-missing'],
};

const does: Readonly<Record<AfterUse, string>> = {
  unchanged: '',
  writes: 'leave a file of their own on the card',
  renames: 'rename the firmware file once they have taken it in',
  consumes: 'remove the firmware file once they have taken it in',
};

/** `found`: what was found on the card so far. */
export function checkAfterUse(
  { afterUse, resultFile }: AfterUseRule,
  volume: FileTree,
  found: readonly Finding[],
): Finding[] {
  const path =
    resultFile &&
    (resultFile.folder === '' ? resultFile.name : `${resultFile.folder}/${resultFile.name}`).toUpperCase();
  const result = volume.nodes.find((node) => !node.isFolder && node.path.toUpperCase() === path);
  if (result !== undefined) {
    return [
      finding('result-on-card', {
        summary: 'A unit has left its result on this card.',
        seen: result.path,
        where: result.path,
        next: 'Take it in first: slotproof collect CARD; then prepare the card again.',
      }),
    ];
  }
  if (!found.some(({ code }) => causes[afterUse].includes(code))) return [];
  return [
    finding('changed-by-unit', {
      summary: `This card may come back from a visit: units of this product ${does[afterUse]}.`,
      next: 'Prepare it again before it goes to the next unit.',
    }),
  ];
}
