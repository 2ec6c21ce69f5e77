// A photo as evidence: its bytes are copied into the workspace under their digest, so that the entry which names
// the digest proves the copy. Of the picture only the first bytes are looked at: what is none is kept, and said.

import { pictureKind } from '../bytes/picture-kind.ts';
import type { Photo } from '../record/entry.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { keepEvidence } from './keep-evidence.ts';

const maxPhotoBytes = 64 * 2 ** 20;

export function copyPhoto(
  { files, workspace, terminal }: Pick<Context, 'files' | 'workspace' | 'terminal'>,
  path: string,
): Photo {
  const from = files.absolute(path);
  const bytes = files.readBytes(from, maxPhotoBytes);
  if (bytes.length === 0) {
    throw new Failure({
      code: 'photo-empty',
      exit: 2,
      summary: 'The photo is an empty file.',
      where: from,
      next: 'Copy it from the camera again.',
    });
  }
  if (pictureKind(bytes) === undefined) {
    terminal.notice(
      `${printable(from, 1000)} does not begin like a picture, a scan or a PDF. It is kept as it is; see whether it is the right file.`,
    );
  }
  const name = (from.split(/[\\/]/).at(-1) ?? 'photo').slice(-255);
  const sha256 = keepEvidence({ files, workspace }, bytes, /\.([^.]*)$/.exec(name)?.[1]);
  return { sha256, bytes: bytes.length, name };
}

/** Of `--photo`, which may be given several times. */
export function photosOf(
  context: Pick<Context, 'files' | 'workspace' | 'terminal'>,
  value: OptionValues[string],
): Photo[] {
  const paths = Array.isArray(value) ? value : value === undefined ? [] : [String(value)];
  if (paths.length === 0) return [];
  context.workspace.make();
  return paths.map((path) => copyPhoto(context, String(path)));
}
