// Where `prepare` takes the firmware file from: `--from`, else the download that was verified before (and again, if
// it may have changed), else the card's own, where its bytes agree.

import { releaseKey } from '../manifest/catalogue.ts';
import type { Release } from '../manifest/schema.ts';
import { type ImageSource, openImageSource } from '../transfer/image-source.ts';
import { recallDownload } from '../transfer/remembered-download.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';

async function openSource(
  context: Context,
  path: string,
  release: Release,
  remembered = recallDownload(context.files, context.workspace, release),
): Promise<ImageSource> {
  const progress = context.terminal.progress('verifying', 'bytes');
  const verified = remembered?.path === context.files.absolute(path) ? remembered : undefined;
  try {
    return await openImageSource(context, path, release, progress.at, verified);
  } finally {
    progress.end();
  }
}

function sourceMissing(release: Release, seen: string | undefined): Failure {
  return new Failure({
    code: 'download-missing',
    exit: 2,
    summary: `No download of ${releaseKey(release)} is known here.`,
    ...(seen === undefined ? {} : { seen }),
    expected: '--from FILE',
    next: `Give the maker's download as --from FILE, or verify it first: slotproof verify FILE`,
  });
}

/** Named by the person: Failure exit 3 where it is not the release's. */
export async function openNamedSource(
  context: Context,
  from: string | undefined,
  release: Release,
): Promise<ImageSource | undefined> {
  return from === undefined ? undefined : await openSource(context, from, release);
}

/** `card`: nothing else is at hand, and the card's own file is right. */
export async function findSource(
  context: Context,
  release: Release,
  cardHoldsIt: boolean,
): Promise<ImageSource | 'card'> {
  const remembered = recallDownload(context.files, context.workspace, release);
  let seen: string | undefined;
  if (remembered !== undefined) {
    try {
      return await openSource(context, remembered.path, release, remembered);
    } catch (error) {
      if (!(error instanceof Failure) || error.facts.exit === 6) throw error;
      seen = `${remembered.path} was verified once, but no longer agrees`;
      context.terminal.notice(`${printable(seen, 400)}.`);
    }
  }
  if (cardHoldsIt) return 'card';
  throw sourceMissing(release, seen);
}
