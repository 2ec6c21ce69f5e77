// One unit as a table or a person states it, judged by the manifests: is the serial one of the product's, does
// the revision agree with it, is the version one? Corrects capitals and blanks, nothing else: what does not fit
// is refused with a code and a reason.

import type { Product } from '../manifest/schema.ts';
import { isVersion } from '../manifest/versions.ts';
import { parseLocalTime } from '../words/local-time.ts';
import { nearNames } from '../words/near-names.ts';
import { plainText } from '../words/plain-text.ts';
import { printable } from '../words/printable.ts';
import { readSerial } from './serial.ts';

export const detailFields = ['role', 'address', 'contact', 'access', 'notes'] as const;
export type DetailField = (typeof detailFields)[number];

/** As written; '' or absent: not said. */
export type UnitClaim = Readonly<
  Partial<
    Record<'serial' | 'site' | 'product' | 'hardware' | 'version' | 'versionReadOn' | DetailField, string>
  >
>;

export interface ReportedVersion {
  readonly version: string;
  readonly atMs: number;
  readonly dated: boolean;
}

export interface Registration {
  readonly serial: string;
  readonly product: string;
  readonly hardware: string;
  readonly site: string;
  /** Only those that were said. */
  readonly details: Readonly<Partial<Record<DetailField, string>>>;
  readonly version: ReportedVersion | null;
}

export type ClaimJudgement =
  | { readonly ok: true; readonly registration: Registration }
  | { readonly ok: false; readonly code: string; readonly summary: string };

export interface ClaimJudge {
  readonly products: ReadonlyMap<string, Product>;
  readonly nowMs: number;
  /** First instant of the local day of `nowMs`: the time of a version without a date of its own. */
  readonly todayMs: number;
  readonly zone: { offsetMinutes(atMs: number): number };
}

const maxSiteLength = 120;
const maxDetailLength = 500;

/** Thrown and caught within this file alone. */
class Refusal {
  readonly ok = false;
  readonly code: string;
  readonly summary: string;

  constructor(code: string, summary: string) {
    this.code = code;
    this.summary = summary;
  }
}

export function judgeClaim(claim: UnitClaim, judge: ClaimJudge): ClaimJudgement {
  try {
    const { serial, product, hardware } = identify(claim, judge.products);
    const site = requireText('site', claim.site, maxSiteLength);
    if (site === '') throw new Refusal('site-missing', 'It does not say at which site the unit stands');
    const details: Partial<Record<DetailField, string>> = {};
    for (const field of detailFields) {
      const text = requireText(field, claim[field], maxDetailLength);
      if (text !== '') details[field] = text;
    }
    const version = reportedVersion(claim, product, judge);
    return { ok: true, registration: { serial, product: product.id, hardware, site, details, version } };
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    return { ok: false, code: refusal.code, summary: refusal.summary };
  }
}

function identify(claim: UnitClaim, products: ReadonlyMap<string, Product>) {
  const named = requireProduct(claim.product?.trim() ?? '', products);
  const reading = readSerial(claim.serial ?? '', named === undefined ? products.values() : [named]);
  if (!reading.ok) throw new Refusal(reading.code, reading.summary);
  const [match, another] = reading.matches;
  if (another !== undefined) {
    const ids = reading.matches.map(({ product }) => product).join(', ');
    throw new Refusal('product-ambiguous', `The serial can belong to several products (${ids}): say which`);
  }
  const product = products.get(match.product)!;
  return { serial: reading.serial, product, hardware: requireHardware(claim, product, match.hardware) };
}

function requireProduct(text: string, products: ReadonlyMap<string, Product>): Product | undefined {
  if (text === '') return undefined;
  const product = products.get(text) ?? products.get(text.toLowerCase());
  if (product !== undefined) return product;
  const near = nearNames(text, products.keys())[0];
  const hint = near === undefined ? '' : `; did you mean ${near}?`;
  throw new Refusal('product-unknown', `No manifest of a product "${printable(text, 60)}" is known${hint}`);
}

function requireHardware(claim: UnitClaim, product: Product, fromSerial: string | null): string {
  const text = claim.hardware?.trim() ?? '';
  if (text === '') {
    if (fromSerial !== null) return fromSerial;
    const known = product.hardware.join(', ');
    throw new Refusal(
      'hardware-missing',
      `The serial does not tell the hardware revision: say which (${known})`,
    );
  }
  const hardware = product.hardware.find((known) => known.toLowerCase() === text.toLowerCase());
  if (hardware === undefined) {
    const known = product.hardware.join(', ');
    throw new Refusal(
      'hardware-unknown',
      `${product.id} has no hardware revision "${printable(text, 40)}" (${known})`,
    );
  }
  if (fromSerial !== null && hardware !== fromSerial) {
    throw new Refusal(
      'hardware-conflict',
      `The serial names hardware revision ${fromSerial}, the table says ${hardware}`,
    );
  }
  return hardware;
}

function reportedVersion(claim: UnitClaim, product: Product, judge: ClaimJudge): ReportedVersion | null {
  const version = claim.version?.trim() ?? '';
  if (version === '') return null;
  if (!isVersion(product.versions, version)) {
    const known = { dotted: '4.10.2', date: '2026-10-01', integer: '417' }[product.versions];
    throw new Refusal(
      'version-form',
      `"${printable(version, 40)}" is no version of ${product.id} (they look like ${known})`,
    );
  }
  const readOn = claim.versionReadOn?.trim() ?? '';
  if (readOn === '') return { version, atMs: judge.todayMs, dated: false };
  const atMs = parseLocalTime(readOn, judge.zone);
  if (atMs === undefined) {
    throw new Refusal('date-form', `versionReadOn is no date: "${printable(readOn, 40)}" (write 2026-10-01)`);
  }
  if (atMs > judge.nowMs)
    throw new Refusal('date-future', `versionReadOn lies in the future: ${printable(readOn, 40)}`);
  return { version, atMs, dated: true };
}

function requireText(field: string, text: string | undefined, maxLength: number): string {
  const plain = plainText(text ?? '', maxLength);
  if (plain === undefined) {
    throw new Refusal(
      'text-unfit',
      `${field} is longer than ${maxLength} characters or holds control characters`,
    );
  }
  return plain;
}
