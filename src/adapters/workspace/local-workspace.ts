// The workspace as a folder on this computer: `--workspace`, else SLOTPROOF_WORKSPACE, else the user's data
// folder as the operating system names it.

import { chmodSync, statSync } from 'node:fs';
import { homedir } from 'node:os';
import { join, resolve } from 'node:path';
import type { Workspace } from '../../ports/workspace.ts';
import { Failure } from '../../words/failure.ts';
import { fileFailure } from '../files/file-failure.ts';
import { makeFolders } from '../files/make-folders.ts';

type Environment = Readonly<Record<string, string | undefined>>;

function userDataFolder(environment: Environment, platform: string): string {
  if (platform === 'win32') {
    return join(environment.LOCALAPPDATA || join(homedir(), 'AppData', 'Local'), 'slotproof');
  }
  if (platform === 'darwin') return join(homedir(), 'Library', 'Application Support', 'slotproof');
  return join(environment.XDG_DATA_HOME || join(homedir(), '.local', 'share'), 'slotproof');
}

/** Absolute path of the workspace. */
export function workspaceRoot(
  option: string | undefined,
  environment: Environment,
  platform: string = process.platform,
): string {
  return resolve(option || environment.SLOTPROOF_WORKSPACE || userDataFolder(environment, platform));
}

export function openWorkspace(root: string, say: (line: string) => void): Workspace {
  const folders = ['manifests', 'kept', 'sheets', 'downloads', 'evidence'] as const;
  const at = (name: string) => join(root, name);
  let made = false;

  function exists(): boolean {
    try {
      if (statSync(root).isDirectory()) return true;
    } catch (error) {
      const code = (error as NodeJS.ErrnoException).code;
      if (code === 'ENOENT') return false;
      if (code !== 'ENOTDIR') throw fileFailure(error, root, 'read');
    }
    throw new Failure({
      code: 'workspace-not-a-folder',
      exit: 2,
      summary: 'The workspace must be a folder.',
      where: root,
      next: 'Give another place with --workspace.',
    });
  }

  return {
    root,
    manifests: at('manifests'),
    record: at('record.db'),
    kept: at('kept'),
    sheets: at('sheets'),
    downloads: at('downloads'),
    evidence: at('evidence'),
    catalogue: at('catalogue.json'),
    trustedSigners: at('trusted-signers'),
    servers: at('servers.json'),
    exists,
    make() {
      if (made) return;
      const isNew = !exists();
      try {
        makeFolders(root, 0o700);
        // An empty folder that the person made beforehand may be open to others; ours is not.
        if (isNew) chmodSync(root, 0o700);
        for (const name of folders) makeFolders(at(name), 0o700);
      } catch (error) {
        throw fileFailure(error, root, 'write');
      }
      made = true;
      if (isNew) say(`New workspace: ${root}`);
    },
  };
}
