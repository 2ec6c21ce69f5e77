// A release as its manifest states it: one firmware version of one product, the image the unit reads and the
// download the maker hands out. Whether product, hardware and version fit together is checked elsewhere.

import * as z from 'zod';
import { type DigestKind, type Digests, digestHexLength, digestKinds } from '../bytes/digests.ts';
import { format } from './product-schema.ts';
import {
  date,
  fileName,
  folder,
  hardwareName,
  integer,
  list,
  matching,
  oneOf,
  size,
  strict,
  text,
  version,
  wideName,
} from './schema-parts.ts';

/** Which versions may be on the unit before. */
export type From =
  | { readonly kind: 'any' }
  | { readonly kind: 'range'; readonly atLeast?: string; readonly below?: string }
  | { readonly kind: 'list'; readonly versions: readonly string[] };

const digest = (kind: DigestKind) => {
  const length = digestHexLength[kind];
  return matching(new RegExp(`^[0-9A-Fa-f]{${length}}$`), `${length} hexadecimal digits`)
    .transform((hex) => hex.toLowerCase())
    .optional();
};

const digests = strict({
  crc32: digest('crc32'),
  md5: digest('md5'),
  sha1: digest('sha1'),
  sha224: digest('sha224'),
  sha256: digest('sha256'),
  sha384: digest('sha384'),
  sha512: digest('sha512'),
})
  .refine((given) => Object.values(given).some((hex) => hex !== undefined), { error: 'at least one digest' })
  .meta({ minProperties: 1 })
  .transform((given): Digests => {
    const stated: Partial<Record<DigestKind, string>> = {};
    for (const kind of digestKinds) {
      const hex = given[kind];
      if (hex !== undefined) stated[kind] = hex;
    }
    return stated;
  });

const fromRange = strict({ atLeast: version.optional(), below: version.optional() })
  .refine((range) => range.atLeast !== undefined || range.below !== undefined, {
    error: 'atLeast, below, or both',
  })
  .meta({ minProperties: 1 })
  .transform(
    (range): From => ({
      kind: 'range',
      ...(range.atLeast !== undefined && { atLeast: range.atLeast }),
      ...(range.below !== undefined && { below: range.below }),
    }),
  );
const fromList = list(version, 'versions', 1, 200).transform(
  (versions): From => ({ kind: 'list', versions }),
);

const from = z.union([fromRange, fromList], {
  error: 'a list of versions, or a mapping with atLeast, below, or both',
});

/** As the archive states it; it is compared, never used as a path. */
const memberName = text(400);

const imageBytes = size(1, 4 * 2 ** 30 - 1);

const image = strict({
  name: fileName,
  folder: folder.default(''),
  bytes: imageBytes,
  digests,
});

const download = strict({
  name: fileName,
  bytes: size(1, 64 * 2 ** 30),
  digests,
  member: memberName.optional(),
});

export const releaseSchema = strict({
  manifest: oneOf(['release']),
  format,
  product: wideName,
  version,
  sequence: integer(1, 1_000_000_000),
  issued: date,
  priority: oneOf(['safety', 'required', 'recommended']),
  due: date.optional(),
  hardware: list(hardwareName, 'hardware revisions', 1, 60),
  from: from.optional().transform((given): From => given ?? { kind: 'any' }),
  image,
  download: download.optional(),
  resets: list(text(120), 'settings', 0, 100).default([]),
  withdrawn: strict({ on: date, why: text(300), doThis: text(300).optional() }).optional(),
  notes: text(1000).optional(),
});

/** As written, before sizes and defaults are worked out. */
export type ReleaseInput = z.input<typeof releaseSchema>;
export type Release = z.output<typeof releaseSchema>;
export type ImageFacts = Release['image'];
export type DownloadFacts = NonNullable<Release['download']>;
export type Withdrawn = NonNullable<Release['withdrawn']>;
export type Priority = Release['priority'];
