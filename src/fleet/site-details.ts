// What a site's units say of the site: its address, whom to call, how to get in. The register keeps it with each unit; where
// they disagree, the answer names who says what, and decides nothing.

import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';

/** Of the further columns, those that are the site's and not the unit's own. */
export const siteFields = ['address', 'contact', 'access'] as const;
export type SiteField = (typeof siteFields)[number];

interface Told {
  readonly serial: string;
  readonly details: Readonly<Record<string, string>>;
}

export interface SaidOfSite {
  readonly text: string;
  readonly serials: readonly string[];
}

/** Each text with the units that say it, the one that most say first; empty where none says anything. */
export function saidOfSite(units: readonly Told[], field: SiteField): SaidOfSite[] {
  const said = new Map<string, string[]>();
  for (const { serial, details } of units) {
    const text = details[field];
    if (text === undefined) continue;
    const serials = said.get(text);
    if (serials === undefined) said.set(text, [serial]);
    else serials.push(serial);
  }
  return [...said]
    .map(([text, serials]) => ({ text, serials }))
    .sort((a, b) => b.serials.length - a.serials.length || (a.text < b.text ? -1 : 1));
}

/** What all say who say anything; undefined where none does or they disagree. */
export function agreedOfSite(units: readonly Told[], field: SiteField): string | undefined {
  const said = saidOfSite(units, field);
  return said.length === 1 ? said[0]?.text : undefined;
}

export function checkSiteDetails(site: string, units: readonly Told[]): Finding[] {
  return siteFields.flatMap((field): Finding[] => {
    const said = saidOfSite(units, field);
    if (said.length < 2) return [];
    const seen = said.slice(0, 3).map(({ text, serials }) => `${printable(text, 120)} (${listOf(serials)})`);
    return [
      {
        code: 'site-details-differ',
        severity: 'warn',
        summary: `The units of this site do not say the same ${field}.`,
        seen: `${seen.join('; ')}${said.length > 3 ? `; and ${said.length - 3} more` : ''}`,
        where: printable(site, 120),
        next: `Say it once for all of them: slotproof sites change "${printable(site, 120)}" --${field} TEXT`,
      },
    ];
  });
}

function listOf(serials: readonly string[]): string {
  const shown = serials.slice(0, 3).map((serial) => printable(serial, 64));
  return serials.length > 3 ? `${shown.join(', ')} and ${serials.length - 3} more` : shown.join(', ');
}
