// Is there a workspace, can it be written to, and is there room for what comes? A small file is written and taken away.

import type { Release } from '../../manifest/schema.ts';
import { formatSize } from '../../words/size.ts';
import type { Context } from '../context.ts';
import { good, type LaptopCheck } from './laptop-check.ts';

export async function checkWorkspace({ workspace, files }: Context): Promise<LaptopCheck> {
  const { root } = workspace;
  if (!workspace.exists()) {
    return {
      check: 'workspace',
      verdict: 'warn',
      summary: 'There is no workspace yet.',
      where: root,
      next: 'Put manifests into its folder manifests, or give the right one with --workspace.',
    };
  }
  const probe = `${root}/doctor.probe`;
  files.write(probe, 'slotproof doctor wrote this to see whether it can, and takes it away again\n');
  files.remove(probe);
  return good('workspace', `It is there and can be written to: ${root}`);
}

/** Copies of what lies on cards, downloads and photos: a few cards' worth. */
const leastFreeBytes = 1e9;

export function checkRoom({ workspace, files }: Context, releases: readonly Release[]): LaptopCheck {
  const free = files.freeBytes(workspace.root);
  if (free === undefined) {
    return {
      check: 'room',
      verdict: 'warn',
      summary: 'How much room there is cannot be told on this system.',
      where: workspace.root,
      next: 'Look yourself: what is taken off a card is kept there.',
    };
  }
  const largest = Math.max(0, ...releases.map(({ image, download }) => image.bytes + (download?.bytes ?? 0)));
  const wanted = Math.max(leastFreeBytes, 2 * largest);
  if (free >= wanted) return good('room', `${formatSize(free)} are free.`);
  return {
    check: 'room',
    verdict: free < largest ? 'stop' : 'warn',
    summary: 'There is little room on the drive of the workspace.',
    seen: `${formatSize(free)} free`,
    expected: `${formatSize(wanted)} or more`,
    where: workspace.root,
    next: 'Make room: what is taken off a card is kept there before the card is written.',
  };
}
