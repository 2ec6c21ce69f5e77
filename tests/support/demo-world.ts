// The demonstration manifests as the project ships them, and the files that go with them, for any test.

import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { buildCatalogue } from '../../src/manifest/build-catalogue.ts';
import type { Catalogue } from '../../src/manifest/catalogue.ts';
import type { ManifestText } from '../../src/manifest/manifest-text.ts';

export const demoManifestFolder = fileURLToPath(new URL('../../manifests/tarnholt', import.meta.url));

export function demoManifestTexts(): ManifestText[] {
  return readdirSync(demoManifestFolder)
    .filter((name) => name.endsWith('.yaml'))
    .map((name) => {
      const path = join(demoManifestFolder, name);
      return { path, content: readFileSync(path, 'utf8') };
    });
}

export function demoCatalogue(): Catalogue {
  return buildCatalogue(demoManifestTexts());
}
