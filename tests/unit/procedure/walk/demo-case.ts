// The demonstration products as walks are tested with: the manifest as written, for judges, and a plan made from it
// as parsed. Revision and versions are those that `all-walks.ts` types; all else is the manifests'.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parse } from 'yaml';
import type { Product } from '../../../../src/manifest/schema.ts';
import { stepGraphOf } from '../../../../src/procedure/step-graph.ts';
import { successorsOf } from '../../../../src/procedure/successors.ts';
import type { WalkPlan } from '../../../../src/procedure/walk/walk.ts';
import { demoCatalogue, demoManifestFolder } from '../../../support/demo-world.ts';
import type { Written } from '../written-product.ts';

export const demoProducts = ['hearth-90', 'weir-18', 'kerb-22'] as const;

export interface DemoCase {
  readonly name: string;
  readonly written: Written;
  readonly plan: WalkPlan;
}

export function demoCase(id: string): DemoCase {
  const catalogue = demoCatalogue();
  const written = parse(readFileSync(join(demoManifestFolder, `${id}.yaml`), 'utf8'));
  const product: Product = { ...catalogue.products.get(id)!, hardware: ['A'], versions: 'dotted' };
  const newest = catalogue.releases.findLast((one) => one.product === id && one.withdrawn === undefined)!;
  const plan: WalkPlan = {
    product,
    release: { ...newest, version: '4.2.0', hardware: ['A'] },
    serial: 'TB8120004477',
    hardware: 'A',
    cautions: 2,
    successors: successorsOf(stepGraphOf(product)),
    judgeVersion: () => ({ kind: 'next' }),
  };
  return { name: id, written, plan };
}
