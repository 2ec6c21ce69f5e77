// `sites change SITE`: what is said of a site, put right for all its units at once: its name, address, whom to call, how to
// get in. No unit moves by it: where one went to another place, `units move` says so.

import { siteFields } from '../fleet/site-details.ts';
import type { RecordStore } from '../ports/record-store.ts';
import { draftEntry, type UnitChanged } from '../record/entry.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { counted } from '../words/counted.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { registerSigner } from './register-signer.ts';
import { knownSites, requireSite, requireSiteName, spelledAlike } from './site-meant.ts';
import { siteDetailOptions } from './site-options.ts';

export async function run(
  context: Context,
  [typed = '']: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const details: Record<string, string | null> = siteDetailOptions(options);
  for (const field of clearedFields(options)) {
    if (details[field] !== undefined) throw bothSaid(field);
    details[field] = null;
  }
  const name = typeof options.name === 'string' ? requireSiteName(options.name, '--name') : undefined;
  if (name === undefined && Object.keys(details).length === 0) throw nothingSaid();
  const site = await requireSite(context, typed, 'SITE');
  const merges =
    name === undefined || name === site ? undefined : await requireNameFree(context, site, name, options);

  const store = await context.record('read');
  const changes = store === undefined ? [] : await changesTo(store, site, details, merges ?? name);
  const signer = await registerSigner(context);
  const drafts = changes.map((body) => draftEntry('unit-changed', signer, body));
  if (drafts.length > 0) await (await context.record('write')).append(drafts);
  const now = merges ?? name ?? site;
  const shown = printable(now, 120);
  const was = now === site ? shown : `${printable(site, 120)} is ${shown} now`;
  return {
    exit: 0,
    json: {
      site: now,
      was: site,
      merged: merges !== undefined,
      changed: changes.map(({ serial }) => serial),
    },
    text:
      changes.length === 0
        ? `${shown}: its units say so already; nothing was written.`
        : `${was}: put right with ${counted(changes.length, 'unit')}.`,
  };
}

function clearedFields(options: OptionValues): string[] {
  return Array.isArray(options.clear) ? [...new Set(options.clear as string[])] : [];
}

/** Retired units keep what was said of the site, but go by its right name with the others. */
async function changesTo(
  store: RecordStore<UnitRecord>,
  site: string,
  details: Readonly<Record<string, string | null>>,
  name: string | undefined,
): Promise<UnitChanged[]> {
  const changes: UnitChanged[] = [];
  for await (const unit of store.units({ site, retired: 'with' })) {
    const other = unit.retired
      ? []
      : siteFields.filter(
          (field) => details[field] !== undefined && details[field] !== (unit.details[field] ?? null),
        );
    const body: UnitChanged = {
      serial: unit.serial,
      ...(name === undefined || name === site ? {} : { site: name }),
      ...(other.length === 0
        ? {}
        : { details: Object.fromEntries(other.map((field) => [field, details[field] ?? null])) }),
    };
    if (Object.keys(body).length > 1) changes.push(body);
  }
  return changes;
}

/** undefined: no other site has the name. Else the name of the one that both become, where the person says so. */
async function requireNameFree(
  context: Context,
  site: string,
  name: string,
  options: OptionValues,
): Promise<string | undefined> {
  const others = spelledAlike(await knownSites(context), name).filter((one) => one !== site);
  const other = others.find((one) => one === name) ?? others[0];
  if (other === undefined) return undefined;
  const question = `There is a site ${printable(other, 120)} already. Are both the same?`;
  const isSame =
    options.merge === true ||
    (context.terminal.interactive && (await context.terminal.confirm(question, '--merge')));
  if (isSame) return other;
  throw new Failure({
    code: 'site-known',
    exit: 2,
    summary: 'Another site has this name already.',
    seen: printable(other, 120),
    where: '--name',
    next: 'Give another name; or, if both are the same site, add --merge.',
  });
}

function nothingSaid(): Failure {
  return new Failure({
    code: 'change-unclear',
    exit: 2,
    summary: 'It does not say what is to be put right.',
    expected: '--name, --address, --contact, --access or --clear',
    next: 'Say what is another now: slotproof sites change SITE --contact "Mx Reed, 14 to 16 h"',
  });
}

function bothSaid(field: string): Failure {
  return new Failure({
    code: 'change-unclear',
    exit: 2,
    summary: `--${field} and --clear ${field} do not go together.`,
    where: `--${field}`,
    next: 'Leave one of them out.',
  });
}
