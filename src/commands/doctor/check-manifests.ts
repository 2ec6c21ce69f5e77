// Are manifests there, sound, trusted and not too old, and is there a download that was verified of each release that a
// unit needs next? Reads no download: `verify` has, and `prepare` does.

import { routesOn } from '../../fleet/routes.ts';
import { standingOf } from '../../fleet/status.ts';
import { releaseKey } from '../../manifest/catalogue.ts';
import { checkNewsAge } from '../../manifest/check-news-age.ts';
import { manifestNewsMs } from '../../manifest/manifest-news.ts';
import type { Release } from '../../manifest/schema.ts';
import { recallDownload } from '../../transfer/remembered-download.ts';
import { counted } from '../../words/counted.ts';
import { Failure } from '../../words/failure.ts';
import { formatLocalDay } from '../../words/local-time.ts';
import type { Context } from '../context.ts';
import { good, type LaptopCheck } from './laptop-check.ts';

export async function checkManifests(context: Context): Promise<LaptopCheck> {
  const { products, releases, findings, untrusted } = await context.catalogue();
  const where = context.workspace.manifests;
  if (products.size === 0) {
    return {
      check: 'manifests',
      verdict: 'stop',
      summary: 'No product is known here.',
      where,
      next: "Put the products' manifests there, or take in a packet, then run slotproof manifests check.",
    };
  }
  const said = `${counted(products.size, 'product')}, ${counted(releases.length, 'release')}`;
  const stops = findings.filter(({ severity }) => severity === 'stop').length;
  if (stops > 0) {
    const isTrust = untrusted !== undefined && untrusted.findings.length > 0;
    return {
      check: 'manifests',
      verdict: 'warn',
      summary: `Not every manifest is used: ${counted(stops, 'stop')} in them.`,
      seen: said,
      expected: isTrust ? 'sound manifests, signed by somebody trusted' : 'sound manifests',
      where,
      next: 'Run slotproof manifests check: what is wrong in one may be just what is needed.',
    };
  }
  const trust = untrusted === undefined ? 'trust in signatures is off' : 'all signed by somebody trusted';
  return good('manifests', `${said}; ${trust}.`);
}

export async function checkNews(context: Context): Promise<LaptopCheck> {
  const { files, clock } = context;
  const newsMs = manifestNewsMs(await context.catalogue(), files, clock.now());
  const [old] = checkNewsAge(newsMs, clock.now(), clock);
  if (old !== undefined) {
    const { summary, seen, next } = old;
    return { check: 'news', verdict: 'warn', summary, ...(seen === undefined ? {} : { seen }), next };
  }
  if (newsMs === undefined) return good('news', 'No manifests, so no news of them.');
  return good('news', `Newest manifest of ${formatLocalDay(newsMs, clock)}.`);
}

const maxNamed = 5;

export async function checkDownloads(context: Context): Promise<LaptopCheck> {
  if (!(await isReadable(context))) {
    return {
      check: 'downloads',
      verdict: 'warn',
      summary: 'Which releases units need cannot be told: the record cannot be read.',
      next: 'See to the record first.',
    };
  }
  const needed = await neededReleases(context);
  if (needed.length === 0) return good('downloads', 'No unit on record needs a release now.');
  const missing = needed.filter(
    (release) => recallDownload(context.files, context.workspace, release) === undefined,
  );
  if (missing.length === 0)
    return good('downloads', `Verified and still there: ${needed.map(releaseKey).join(', ')}.`);
  const more = missing.length > maxNamed ? `, and ${missing.length - maxNamed} more` : '';
  return {
    check: 'downloads',
    verdict: 'warn',
    summary: 'Of releases that units need no verified download is at hand.',
    seen: `none of ${missing.slice(0, maxNamed).map(releaseKey).join(', ')}${more}`,
    expected: 'the download of each, as the maker published it',
    next: 'Get them and run slotproof verify FILE, or give --from FILE to prepare.',
  };
}

/** What is wrong with it is another check's answer. */
async function isReadable(context: Context): Promise<boolean> {
  try {
    await (await context.record('read'))?.counts();
    return true;
  } catch (error) {
    if (error instanceof Failure) return false;
    throw error;
  }
}

/** The next one of each unit that may be worked on; each once, in the order of its first unit. */
async function neededReleases(context: Context): Promise<Release[]> {
  const { clock } = context;
  const routes = routesOn(await context.catalogue(), formatLocalDay(clock.now(), clock));
  const needed = new Map<string, Release>();
  const record = await context.record('read');
  for await (const unit of record?.units() ?? []) {
    const { status, path } = standingOf(unit, routes);
    if (!['due', 'overdue', 'failed'].includes(status)) continue;
    for (const release of path) needed.set(releaseKey(release), release);
  }
  return [...needed.values()];
}
