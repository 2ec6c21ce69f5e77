// A workspace with the demonstration manifests in it, in a folder of its own that the caller removes.

import { cpSync, mkdirSync, mkdtempSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { demoManifestFolder } from './demo-world.ts';

export function makeDemoWorkspace(): { readonly folder: string; readonly workspace: string } {
  const folder = mkdtempSync(join(tmpdir(), 'slotproof-demo-'));
  const workspace = join(folder, 'workspace');
  mkdirSync(join(workspace, 'manifests'), { recursive: true });
  cpSync(demoManifestFolder, join(workspace, 'manifests', 'tarnholt'), { recursive: true });
  return { folder, workspace };
}
