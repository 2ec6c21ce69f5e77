// The demo maker's products, as their files define them.

import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { decodeManifest } from '../../../src/manifest/decode-manifest.ts';
import type { Product } from '../../../src/manifest/schema.ts';

const folder = fileURLToPath(new URL('../../../manifests/tarnholt/', import.meta.url));

export const demoProducts: readonly Product[] = readdirSync(folder)
  .filter((name) => name.endsWith('.yaml'))
  .flatMap((name) => {
    const { decoded, findings } = decodeManifest(name, readFileSync(`${folder}${name}`));
    if (findings.some(({ severity }) => severity === 'stop'))
      throw new Error(`${name}: ${findings[0]?.summary}`);
    return decoded.kind === 'product' ? [decoded.product] : [];
  });
