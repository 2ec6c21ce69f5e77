// From a site's name as typed to the site of the register that is meant. Capitals and blanks are put right; a near name is
// offered, never taken by itself; a new one counts only where the person says that it is new.

import { siteKey } from '../fleet/visit-list.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { nearNames } from '../words/near-names.ts';
import { plainText } from '../words/plain-text.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';

const maxSiteLength = 120;

/** As the register writes it; Failure `site-unknown` (exit 2) with near names where no unit is registered there. */
export async function requireSite(context: Context, text: string, where: string): Promise<string> {
  const sites = await knownSites(context);
  const known = await siteNamed(context, sites, text, where);
  if (known !== undefined) return known;
  const near = nearNames(text, sites);
  if (near.length > 0 && context.terminal.interactive) {
    const chosen = await context.terminal.choose(
      `No unit is registered at ${printable(text, 80)}. Which site is meant?`,
      [...near.map((site) => ({ value: site, label: printable(site, 120) })), noneOfThese],
      where,
    );
    if (chosen !== '') return chosen;
  }
  throw unknownSite(text, near, where, 'slotproof sites list names the sites.');
}

export interface SiteToMoveTo {
  readonly site: string;
  readonly isNew: boolean;
  /** What a new name is perhaps meant to be. */
  readonly findings: readonly Finding[];
}

/** A site to move to: known, or new where `--new-site` or the person at the terminal says so. */
export async function requireSiteToMoveTo(
  context: Context,
  text: string,
  saidNew: boolean,
): Promise<SiteToMoveTo> {
  const where = '--to';
  const name = requireSiteName(text, where);
  const sites = await knownSites(context);
  const known = await siteNamed(context, sites, name, where);
  if (saidNew && known !== undefined) {
    throw new Failure({
      code: 'site-known',
      exit: 2,
      summary: 'This site is not new: units are registered there.',
      seen: printable(known, 120),
      where: '--new-site',
      next: 'Leave --new-site out, or give the new site a name of its own.',
    });
  }
  if (known !== undefined) return { site: known, isNew: false, findings: [] };
  const asNew = { site: name, isNew: true, findings: checkNewSite(name, sites, where) };
  if (saidNew) return asNew;
  const near = nearNames(name, sites);
  if (context.terminal.interactive) {
    const chosen = await context.terminal.choose(
      `No unit is registered at ${printable(name, 80)}. Which site is meant?`,
      [
        ...near.map((site) => ({ value: site, label: printable(site, 120) })),
        { value: name, label: `a new site, ${printable(name, 120)}` },
        noneOfThese,
      ],
      '--new-site',
    );
    if (chosen === name) return asNew;
    if (chosen !== '') return { site: chosen, isNew: false, findings: [] };
  }
  throw unknownSite(name, near, where, 'If it is a new site, add --new-site.');
}

/** A site to look at, put right in capitals and blanks where only one is spelled so; any other text stays as it is. */
export async function siteToLookAt(context: Pick<Context, 'record'>, text: string) {
  const sites = await knownSites(context);
  const name = text.normalize('NFC');
  const alike = spelledAlike(sites, name);
  const site = sites.includes(name) || alike.length !== 1 ? name : (alike[0] ?? name);
  return { site, near: sites.includes(site) ? [] : nearNames(name, sites) };
}

/** Of a site that a unit is registered at and none was before: whether it is perhaps another one, spelled wrongly. */
export function checkNewSite(site: string, sitesBefore: readonly string[], where: string): Finding[] {
  if (sitesBefore.includes(site)) return [];
  const alike = spelledAlike(sitesBefore, site);
  const near = alike.length > 0 ? alike : nearNames(site, sitesBefore);
  if (near.length === 0) return [];
  return [
    {
      code: 'site-name-near',
      severity: 'warn',
      summary: 'The new site has nearly the name of another one.',
      seen: printable(site, 120),
      expected: near.map((one) => printable(one, 120)).join(' or '),
      where,
      next: `If it is the same site: slotproof sites change "${printable(site, 120)}" --name "${printable(near[0] ?? '', 120)}" --merge`,
    },
  ];
}

const noneOfThese = { value: '', label: 'none of these' };

/** Fit to stand in the register. */
export function requireSiteName(text: string, where: string): string {
  const name = plainText(text, maxSiteLength);
  if (name !== undefined && name !== '') return name;
  throw new Failure({
    code: 'text-unfit',
    exit: 2,
    summary: name === '' ? 'The name of the site is empty.' : 'No site can have this name.',
    seen: printable(text, 80),
    expected: `1 to ${maxSiteLength} characters on one line`,
    where,
    next: 'Give the name of the site as it is on your lists.',
  });
}

export async function knownSites(context: Pick<Context, 'record'>): Promise<string[]> {
  return (await (await context.record('read'))?.sites()) ?? [];
}

/** The same to the letter, else the one of the same letters; where several are spelled so, the person is asked. */
async function siteNamed(
  context: Context,
  sites: readonly string[],
  text: string,
  where: string,
): Promise<string | undefined> {
  const exact = sites.find((site) => site === text.normalize('NFC'));
  if (exact !== undefined) return exact;
  const alike = spelledAlike(sites, text);
  if (alike.length < 2) return alike[0];
  return await context.terminal.choose(
    'The register spells this site in several ways. Which is meant?',
    alike.map((site) => ({ value: site, label: printable(site, 120) })),
    where,
  );
}

/** Capitals and blanks do not count. */
export function spelledAlike(sites: readonly string[], text: string): string[] {
  const key = siteKey(text);
  return sites.filter((site) => siteKey(site) === key);
}

function unknownSite(text: string, near: readonly string[], where: string, otherwise: string): Failure {
  const names = near.map((site) => printable(site, 80));
  return new Failure({
    code: 'site-unknown',
    exit: 2,
    summary: 'No unit is registered at this site.',
    seen: printable(text, 80),
    ...(names.length === 0 ? {} : { expected: names.join(' or ') }),
    where,
    next: names.length === 0 ? otherwise : `Did you mean ${names[0]}? ${otherwise}`,
  });
}
