// What is to be known of a sheet that can be made all the same: nobody else checked the procedure, the news is
// old, the day is too short. The sheet itself says each of these too.

import type { Finding } from '../words/finding.ts';
import type { SheetLanguage } from './language.ts';
import type { SheetView } from './sheet-view.ts';

type Looked = Pick<SheetView, 'product' | 'release' | 'made' | 'source' | 'news' | 'time' | 'units'>;

export function checkSheet(view: Looked, words: SheetLanguage): Finding[] {
  return [...checkSource(view, words), ...checkIssued(view), ...checkNews(view), ...checkDay(view)];
}

function checkSource({ source, product }: Looked, { source: says }: SheetLanguage): Finding[] {
  if (source.warnings.length === 0) return [];
  return [
    {
      code: 'not-second-checked',
      severity: 'warn',
      summary: source.warnings.map((warning) => says.warnings[warning]).join(' '),
      where: product.id,
      next: "Have someone else compare the manifest with the maker's document.",
    },
  ];
}

function checkIssued({ release, made }: Looked): Finding[] {
  if (release.issued <= made.day) return [];
  return [
    {
      code: 'not-issued-yet',
      severity: 'warn',
      summary: `${release.id} is issued only on ${release.issued}.`,
      seen: `today is ${made.day} on this laptop`,
      where: release.id,
      next: 'Check the date of this laptop; if it is right, wait for the day of issue.',
    },
  ];
}

function checkNews({ news }: Looked): Finding[] {
  if (!news.old) return [];
  return [
    {
      code: 'manifests-old',
      severity: 'warn',
      summary: 'No news of manifests came to this laptop for over seven days.',
      ...(news.day !== null && { seen: `newest of ${news.day}` }),
      next: 'Take in newer manifests, or ask the service lead whether the release still stands.',
    },
  ];
}

function checkDay({ time, units }: Looked): Finding[] {
  const { longestSeconds, dayEnds, latestAny, latestFirst } = time;
  if (longestSeconds === null || dayEnds === null || latestFirst !== null) return [];
  return [
    {
      code: 'day-too-short',
      severity: 'warn',
      summary:
        latestAny === null
          ? `A day that ends at ${dayEnds} has no time for this procedure.`
          : `Not all ${units.length} units fit into a day that ends at ${dayEnds}.`,
      expected: `${Math.ceil(longestSeconds / 60)} min at most for each unit, and an hour in reserve`,
      next: 'Plan fewer units, or another day.',
    },
  ];
}
