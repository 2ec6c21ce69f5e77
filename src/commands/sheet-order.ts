// What `sheet` is asked for, checked before anything is made: the form, the end of the day, a new file, a release,
// and registered units of its product. Whether those units may have the release is not judged here.

import type { Catalogue } from '../manifest/catalogue.ts';
import type { Product, Release } from '../manifest/schema.ts';
import type { UnitState } from '../record/unit-state.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { requireRegisteredUnit } from './registered-unit.ts';
import { papers, type SheetForm, sheetForms } from './sheet-forms.ts';

/** More rows than a visit has; a longer sheet would not be carried. */
const mostUnits = 24;

/** As `--format` says; where it says nothing, as the name after `--out` ends. */
export function requireForm(format: OptionValues[string], out: OptionValues[string]): SheetForm {
  const form = sheetForms.find((known) => known === format);
  if (form !== undefined) return form;
  if (format === undefined) {
    const ending = /\.(pdf|html?)$/i.exec(String(out ?? ''))?.[1]?.toLowerCase();
    return ending === undefined ? 'text' : ending === 'pdf' ? 'pdf' : 'html';
  }
  throw new Failure({
    code: 'format-not-built',
    exit: 2,
    summary: `The form ${printable(String(format), 40)} is not built yet.`,
    expected: sheetForms.join(', '),
    next: 'Use --format text; it prints on every printer.',
  });
}

export function requirePaper(paper: OptionValues[string]): (typeof papers)[number] | undefined {
  return papers.find((known) => known === paper);
}

/** Beside a file of the person's own, the slip under its name: `visit.pdf`, `visit-slip.pdf`. */
export function slipBeside(path: string): string {
  return /[^/\\]\.[^./\\]+$/.test(path) ? path.replace(/(\.[^.]+)$/, '-slip$1') : `${path}-slip`;
}

export async function requireDayEnds(given: OptionValues[string]): Promise<number | null> {
  if (given === undefined) return null;
  const { parseTimeOfDay } = await import('../sheet/latest-start.ts');
  const minutes = parseTimeOfDay(String(given));
  if (minutes !== undefined) return minutes;
  throw new Failure({
    code: 'bad-time',
    exit: 2,
    summary: 'This is no time of day.',
    seen: printable(String(given), 40),
    expected: 'hours and minutes, such as 16:30',
    next: 'Give --day-ends again.',
  });
}

export async function requireSheetRelease(
  context: Context,
  catalogue: Catalogue,
  given: string | undefined,
): Promise<Release> {
  const { newestRelease, releaseKey, requireRelease } = await import('../manifest/catalogue.ts');
  if (given !== undefined) return requireRelease(catalogue, given);
  const newest = [...catalogue.products.keys()].flatMap((id) => newestRelease(catalogue, id) ?? []);
  if (newest.length === 0) {
    throw new Failure({
      code: 'no-release',
      exit: 2,
      summary: 'No release is known here.',
      where: context.workspace.manifests,
      next: 'Put manifests into the workspace first, then run: slotproof manifests check',
    });
  }
  const choices = newest.map((release) => ({
    value: release,
    label: `${releaseKey(release)}  ${printable(catalogue.products.get(release.product)?.name ?? '', 80)}`,
  }));
  return context.terminal.choose('Which release?', choices, 'RELEASE');
}

export async function requireSheetUnits(
  context: Context,
  product: Product,
  given: OptionValues[string],
): Promise<UnitState[]> {
  const typed = given === undefined ? [] : Array.isArray(given) ? given : [String(given)];
  if (typed.length > mostUnits) {
    throw new Failure({
      code: 'too-many-units',
      exit: 2,
      summary: 'These are too many units for one sheet.',
      seen: String(typed.length),
      expected: `${mostUnits} at most`,
      next: 'Make a sheet for each part of the visit.',
    });
  }
  const units = new Map<string, UnitState>();
  for (const text of typed) {
    const unit = await requireRegisteredUnit(context, String(text));
    requireUnitOf(product, unit);
    units.set(unit.serial, unit);
  }
  return [...units.values()];
}

function requireUnitOf(product: Product, unit: UnitState): void {
  const serial = printable(unit.serial, 80);
  if (unit.retired) {
    throw new Failure({
      code: 'unit-retired',
      exit: 2,
      summary: `${serial} is retired.`,
      next: 'Leave it out, or register it again: slotproof units add',
    });
  }
  if (unit.product === product.id) return;
  throw new Failure({
    code: 'other-product',
    exit: 2,
    summary: `${serial} is no ${product.id}.`,
    seen: printable(unit.product, 80),
    expected: product.id,
    next: `Make a sheet of its own: slotproof sheet ${printable(unit.product, 80)} --unit ${serial}`,
  });
}
