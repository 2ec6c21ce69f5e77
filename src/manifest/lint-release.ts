// The structural rules of one release against its product, and of all releases of a product against each
// other. Whether a unit finds a path through the releases is not asked here.

import { printable } from '../words/printable.ts';
import { formatBytes } from '../words/size.ts';
import { type Fault, type Path, stop, twins, unknownName } from './fault.ts';
import type { Digests, Product, Release } from './schema.ts';
import { isPlainShortName } from './short-name.ts';
import { compareVersions, isVersion, sameVersion } from './versions.ts';

export function lintRelease(release: Release, product: Product): Fault[] {
  return [
    ...lintHardware(release, product),
    ...lintVersions(release, product),
    ...lintDates(release),
    ...lintImage(release, product),
  ];
}

function lintHardware(release: Release, product: Product): Fault[] {
  const unknown = release.hardware.flatMap((id, i) =>
    product.hardware.includes(id)
      ? []
      : [unknownName(['hardware', i], 'hardware revision', id, product.hardware)],
  );
  return [...twins(release.hardware, (i) => ['hardware', i], 'hardware revisions'), ...unknown];
}

function lintVersions(release: Release, product: Product): Fault[] {
  const scheme = product.versions;
  const faults: Fault[] = [];
  const form = (path: Path, version: string) => {
    if (isVersion(scheme, version)) return;
    faults.push(
      stop('schema', path, `This is no version as ${product.id} counts them.`, {
        seen: printable(version, 60),
        expected: {
          dotted: 'numbers and dots, such as 4.10',
          date: 'a date, such as 2026-10-01',
          integer: 'a whole number',
        }[scheme],
        next: `Correct it, or the scheme in the product's versions.`,
      }),
    );
  };
  form(['version'], release.version);
  const { from } = release;
  if (from.kind === 'list') {
    from.versions.forEach((version, i) => {
      form(['from', i], version);
      if (sameVersion(scheme, version, release.version)) faults.push(followsItself(['from', i], version));
    });
  }
  if (from.kind === 'range') {
    if (from.atLeast !== undefined) form(['from', 'atLeast'], from.atLeast);
    if (from.below !== undefined) form(['from', 'below'], from.below);
    if (
      from.atLeast !== undefined &&
      from.below !== undefined &&
      compareVersions(scheme, from.atLeast, from.below) >= 0
    ) {
      faults.push(
        stop('schema', ['from'], 'No version lies between these two.', {
          seen: `atLeast ${from.atLeast}, below ${from.below}`,
          expected: 'atLeast older than below',
          next: 'Correct one of them.',
        }),
      );
    }
  }
  return faults;
}

function followsItself(path: Path, version: string): Fault {
  return {
    code: 'follows-itself',
    severity: 'warn',
    path,
    summary: 'A release never follows its own version.',
    seen: version,
    next: 'Remove it from the list.',
  };
}

function lintDates(release: Release): Fault[] {
  const faults: Fault[] = [];
  // Dates of one form compare as text.
  const notBefore = (path: Path, date: string | undefined, what: string) => {
    if (date === undefined || date >= release.issued) return;
    faults.push(
      stop('schema', path, `It ${what} before it was issued.`, {
        seen: date,
        expected: `${release.issued} or later`,
        next: 'Correct one of the two dates.',
      }),
    );
  };
  notBefore(['due'], release.due, 'is due');
  notBefore(['withdrawn', 'on'], release.withdrawn?.on, 'was withdrawn');
  return faults;
}

function lintImage(release: Release, product: Product): Fault[] {
  const { image, download } = release;
  const faults: Fault[] = [];
  if (product.card.shortNameOnly && !isPlainShortName(image.name)) {
    faults.push(
      stop('schema', ['image', 'name'], 'The unit reads plain upper-case 8.3 names only, and this is none.', {
        seen: printable(image.name, 60),
        expected: 'at most eight characters, a dot, at most three: HEAT1.BIN',
        next: "Correct the name, or set shortNameOnly: false in the product's card rule.",
      }),
    );
  }
  const result = product.resultFile;
  if (result?.name === image.name && result.folder === image.folder) {
    faults.push(
      stop('schema', ['image', 'name'], "The product's result file has the same name and place.", {
        seen: printable(image.name, 60),
        expected: 'two names',
        next: "Correct it here, or in the product's resultFile.",
      }),
    );
  }
  const longFolder = image.folder.split('/').find((part) => part !== '' && !isPlainShortName(part));
  if (product.card.shortNameOnly && longFolder !== undefined) {
    faults.push({
      code: 'folder-long-name',
      severity: 'warn',
      path: ['image', 'folder'],
      summary: 'The unit reads plain upper-case 8.3 names only, and the folder has another.',
      seen: printable(longFolder, 60),
      next: "Check it against the maker's document.",
    });
  }
  if (image.bytes > product.card.capacity.maxBytes) {
    faults.push(
      stop(
        'schema',
        ['image', 'bytes'],
        'The firmware file is larger than the largest card that the unit takes.',
        {
          seen: `${formatBytes(image.bytes)} bytes`,
          expected: `${formatBytes(product.card.capacity.maxBytes)} bytes at most`,
          next: "Correct the size, or the capacity in the product's card rule.",
        },
      ),
    );
  }
  if (!provesContent(image.digests) && !(download && provesContent(download.digests))) {
    faults.push({
      code: 'weak-digest-only',
      severity: 'warn',
      path: ['image', 'digests'],
      summary: 'These digests show damage, but are no proof against a file that was changed on purpose.',
      seen: Object.keys(image.digests).join(', '),
      expected: 'sha256, sha384 or sha512',
      next: 'Ask the maker for a SHA-256.',
    });
  }
  return faults;
}

/** sha256 or stronger is among them. */
export function provesContent(digests: Digests): boolean {
  return digests.sha256 !== undefined || digests.sha384 !== undefined || digests.sha512 !== undefined;
}
