// `units add`: one unit into the register, or what is said of one that is there already. A retired unit is
// brought back by it.

import { planRegistration } from '../fleet/plan-registration.ts';
import { routesOn } from '../fleet/routes.ts';
import { readSerial } from '../fleet/serial.ts';
import { standingOf } from '../fleet/status.ts';
import { judgeClaim, type Registration, type UnitClaim } from '../fleet/unit-claim.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { registerSigner } from './register-signer.ts';
import { checkNewSite, knownSites } from './site-meant.ts';
import { statusText, unitJson } from './unit-view.ts';

const claimOptions = {
  site: 'site',
  product: 'product',
  hardware: 'hardware',
  version: 'version',
  versionReadOn: 'versionReadOn',
  role: 'role',
  address: 'address',
  contact: 'contact',
  access: 'access',
  notes: 'notes',
} as const;

export async function run(
  context: Context,
  [serial = '']: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { clock } = context;
  const { products } = await context.catalogue();
  const store = await context.record('read');
  const reading = readSerial(serial, products.values());
  const known = reading.ok ? await store?.unit(reading.serial) : undefined;
  const registration = await requireRegistration(context, serial, options, known);

  const signer = await registerSigner(context);
  const before = await store?.unit(registration.serial);
  const plan = planRegistration(registration, before, signer);
  const findings = checkNewSite(registration.site, await knownSites(context), registration.serial);
  const writing = await context.record('write');
  const [first] = await writing.append(plan.drafts);
  const unit = await writing.unit(registration.serial);
  if (unit === undefined) throw new Error(`${registration.serial} was written and is not there`);
  const routes = routesOn(await context.catalogue(), formatLocalDay(clock.now(), clock));
  return {
    exit: 0,
    json: {
      added: plan.kind === 'added' ? 1 : 0,
      changed: plan.kind === 'changed' ? 1 : 0,
      unit: unitJson(unit, routes, clock),
      entry: first ?? null,
      findings,
    },
    text: `${findings.length === 0 ? '' : `${renderFindings(findings, context.terminal)}\n\n`}${heading(plan.kind, before, unit)} ${statusText(standingOf(unit, routes))}.`,
  };
}

function heading(kind: string, before: UnitRecord | undefined, unit: UnitRecord): string {
  const name = `${printable(unit.serial)} (${unit.product}, revision ${unit.hardware}, ${printable(unit.site ?? 'no site')})`;
  if (kind === 'unchanged') return `${name} is registered so already;`;
  if (kind === 'changed') return `${name} changed:`;
  return before?.retired === true ? `${name} is back in service:` : `${name} added:`;
}

async function requireRegistration(
  context: Context,
  serial: string,
  options: OptionValues,
  known: UnitRecord | undefined,
): Promise<Registration> {
  const { clock, terminal } = context;
  const nowMs = clock.now();
  const said: Record<string, string> = {};
  for (const [name, field] of Object.entries(claimOptions)) {
    const value = options[name];
    if (typeof value === 'string') said[field] = value;
  }
  const site =
    said.site ?? known?.site ?? (await terminal.text('At which site does it stand?', '--site SITE'));
  const claim: UnitClaim = {
    ...(known === undefined ? {} : { product: known.product, hardware: known.hardware ?? '' }),
    ...said,
    serial,
    site,
  };
  const todayMs = clock.startOfLocalDay(formatLocalDay(nowMs, clock));
  const judged = judgeClaim(claim, {
    products: (await context.catalogue()).products,
    nowMs,
    todayMs,
    zone: clock,
  });
  if (judged.ok) return judged.registration;
  throw new Failure({
    code: judged.code,
    exit: 2,
    summary: `${judged.summary}.`,
    seen: printable(serial, 80),
    next: 'Compare it with the plate, then run the same again.',
  });
}
