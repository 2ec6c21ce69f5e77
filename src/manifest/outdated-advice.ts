// What is to be done about a withdrawn release is a sentence of a person's, and it may send units to a release that is
// withdrawn by now as well. Such a sentence is not believed as it stands: whoever prints it says so with it. Goes by the
// version as it is written, so it only ever adds a word of doubt. Pure.

import { releaseKey } from './catalogue.ts';
import type { Release } from './schema.ts';

/** A plain number of one or two figures may be anything in a sentence. */
const tellingVersion = /[.-]|\d{3}/;

/** Whether the text names that release's version, as a word of its own. */
export function namesVersionOf(text: string, { version }: Pick<Release, 'version'>): boolean {
  if (!tellingVersion.test(version)) return false;
  const literal = version.replace(/[.*+?^${}()|[\]\\]/g, '\\$&');
  return new RegExp(`(?<![\\w.-])${literal}(?![\\w-]|\\.\\d)`).test(text);
}

/** Withdrawn releases to which that one's units are sent; `releases`: all that are known. */
export function withdrawnAdvised(
  release: Pick<Release, 'product' | 'version'>,
  doThis: string | undefined,
  releases: readonly Release[],
): Release[] {
  if (doThis === undefined) return [];
  return releases.filter(
    (other) =>
      other.withdrawn !== undefined &&
      other.product === release.product &&
      releaseKey(other) !== releaseKey(release) &&
      namesVersionOf(doThis, other),
  );
}

/** The same releases; advice that leads to a withdrawn one says so. */
export function adviceJudged(releases: readonly Release[]): readonly Release[] {
  const judged = releases.map((release): Release => {
    const { withdrawn } = release;
    if (withdrawn?.doThis === undefined) return release;
    const gone = withdrawnAdvised(release, withdrawn.doThis, releases).map(({ version }) => version);
    if (gone.length === 0) return release;
    const stop = /[.!?]$/.test(withdrawn.doThis) ? '' : '.';
    const doubt = `But ${gone.join(', ')} ${gone.length === 1 ? 'is' : 'are'} withdrawn as well: ask the service lead where to go.`;
    return { ...release, withdrawn: { ...withdrawn, doThis: `${withdrawn.doThis}${stop} ${doubt}` } };
  });
  return judged.some((release, at) => release !== releases[at]) ? judged : releases;
}
