// All that a sheet says, as plain values: every form of it (text now; pages for a printer and a telephone later)
// is drawn from one of these. Texts from manifests and the register are already safe to print. Decides nothing:
// whether there may be a sheet at all is the command's to say.

import { type MissingStep, missingSteps } from '../manifest/lint-hazards.ts';
import type { Light, Pattern, Product, Release } from '../manifest/schema.ts';
import type { ProcedureTimes } from '../procedure/procedure-times.ts';
import { siteOpened } from '../procedure/site-turn.ts';
import type { Left } from '../record/unit-state.ts';
import { type Cautions, cautionsFor } from './cautions.ts';
import type { LanguageCode } from './language-codes.ts';
import { formatTimeOfDay, latestStart, reserveMinutes } from './latest-start.ts';
import { paragraph } from './paragraph.ts';
import type { Placed, SheetStep } from './sheet-step.ts';
import { cleanPattern, sheetSteps } from './sheet-steps.ts';

/** A unit that the sheet is for, as the record knows it. Times are local days, worked out by the caller. */
export interface SheetUnit {
  readonly serial: string;
  readonly hardware: string | null;
  readonly site: string | null;
  readonly version: {
    readonly version: string;
    readonly evidence: 'read' | 'reported';
    readonly day: string;
  } | null;
  readonly left: Left | null;
  /** Local day of the newest outcome that decided something, where it is `failed`. */
  readonly failedOn: string | null;
  /** An update after which nobody read the version: to which, and on which local day. */
  readonly unread: { readonly version: string; readonly day: string } | null;
  /** role, address, contact, access, notes. */
  readonly details: Readonly<Record<string, string>>;
}

export interface SheetMark {
  readonly laptop: string;
  readonly seq: number;
  readonly hash: string;
}

/** How fresh what is known of withdrawals is. */
export interface SheetNews {
  /** Local day of the newest news; null: not known. */
  readonly day: string | null;
  readonly daysOld: number;
}

export interface SheetInput {
  readonly number: string;
  readonly language: LanguageCode;
  readonly product: Product;
  readonly release: Release;
  /** In the order of the rows; none: one row to fill in by hand. */
  readonly units: readonly SheetUnit[];
  readonly made: { readonly day: string; readonly time: string; readonly by: string | null };
  readonly times: ProcedureTimes;
  /** At every unit after the first, where steps are done once for a site; else the same. */
  readonly timesLater?: ProcedureTimes;
  readonly gapsChecked: boolean;
  /** Minutes of the day. */
  readonly dayEnds: number | null;
  readonly news: SheetNews;
  readonly mark: SheetMark | null;
}

export type SourceWarning = 'no-source' | 'no-writer' | 'not-checked' | 'same-checker' | MissingStep;

export interface UnitRow extends Omit<SheetUnit, 'serial'> {
  readonly row: number;
  /** null: to be written in by hand. */
  readonly serial: string | null;
  readonly lastFour: string | null;
}

export interface TimeView {
  readonly longestSeconds: number | null;
  /** The shortest way to `updated`. */
  readonly shortestSeconds: number | null;
  readonly reserveMinutes: number;
  readonly assumed: ProcedureTimes['assumed'];
  /** Numbers of the steps that wait for the plate, which may say longer. */
  readonly plateSteps: readonly number[];
  readonly dayEnds: string | null;
  readonly latestAny: string | null;
  readonly latestFirst: string | null;
  readonly fit: number;
  /** Some steps are done once for the site: they are counted once. */
  readonly shared: boolean;
}

export interface SheetView {
  readonly number: string;
  readonly language: LanguageCode;
  readonly made: SheetInput['made'];
  readonly product: {
    readonly id: string;
    readonly name: string;
    readonly maker: string;
    readonly revision: number | null;
  };
  readonly release: {
    /** `product@version`. */
    readonly id: string;
    readonly version: string;
    readonly issued: string;
    readonly priority: Release['priority'];
    readonly due: string | null;
    readonly notes: string | null;
  };
  readonly cautions: Cautions;
  readonly source: {
    readonly document: string | null;
    readonly issue: string | null;
    readonly page: string | null;
    readonly writtenBy: string | null;
    readonly checkedBy: string | null;
    readonly warnings: readonly SourceWarning[];
  };
  readonly gapsChecked: boolean;
  readonly news: SheetNews & { readonly old: boolean };
  readonly mark: SheetMark | null;
  readonly time: TimeView;
  readonly bring: {
    readonly cards: number;
    /** The unit changes the card: one for each. */
    readonly cardEach: boolean;
    readonly items: readonly string[];
  };
  readonly units: readonly UnitRow[];
  /** True: the one row is blank. */
  readonly byHand: boolean;
  readonly starts: readonly Placed[];
  /** What stands otherwise at every unit after the first of a site, from the steps that are done once. */
  readonly site: readonly Placed[];
  /** The rows stand in the order that the manifest asks for by role. */
  readonly ordered: boolean;
  readonly never: readonly { readonly when: readonly Placed[]; readonly why: string }[];
  readonly whileBusy: readonly Placed[];
  readonly steps: readonly SheetStep[];
  readonly lights: readonly Light[];
  readonly patterns: readonly Pattern[];
  readonly helpline: { readonly phone: string; readonly hours: string | null } | null;
}

/** News older than this is said to be old. */
export const newsOldAfterDays = 7;

function optional(text: string | undefined): string | null {
  return text === undefined ? null : paragraph(text);
}

function placedList(placing: Readonly<Record<string, string>>): Placed[] {
  return Object.entries(placing).map(([position, state]) => ({ position, state }));
}

/** Compared as people read them: the same name in other capitals is the same person. */
function sameName(a: string, b: string): boolean {
  const plain = (name: string) => name.normalize('NFKC').toLowerCase().replace(/\s+/g, ' ').trim();
  return plain(a) === plain(b);
}

/** Which document the procedure is from, and who wrote it down and compared it. */
export function sourceOf(product: Product): SheetView['source'] {
  const { source, writtenBy, checkedBy } = product;
  const warnings: SourceWarning[] = [];
  if (source === undefined) warnings.push('no-source');
  if (writtenBy === undefined) warnings.push('no-writer');
  if (checkedBy === undefined) warnings.push('not-checked');
  else if (writtenBy !== undefined && sameName(writtenBy, checkedBy)) warnings.push('same-checker');
  warnings.push(...missingSteps(product));
  return {
    document: optional(source?.document),
    issue: optional(source?.issue),
    page: optional(source?.page),
    writtenBy: optional(writtenBy),
    checkedBy: optional(checkedBy),
    warnings,
  };
}

function timeOf(input: SheetInput, steps: readonly SheetStep[]): TimeView {
  const { times, dayEnds } = input;
  const longest = times.longest;
  const later = input.timesLater?.longest?.minutes ?? longest?.minutes;
  const latest =
    dayEnds === null || longest === undefined
      ? undefined
      : latestStart(dayEnds, longest.minutes, Math.max(1, input.units.length), later);
  const clock = (minutes: number | undefined) => (minutes === undefined ? null : formatTimeOfDay(minutes));
  return {
    longestSeconds: longest === undefined ? null : longest.minutes * 60,
    shortestSeconds: times.ends.find(({ end }) => end === 'updated')?.shortest.seconds ?? null,
    reserveMinutes,
    assumed: times.assumed,
    plateSteps: steps.flatMap(({ id, number }) =>
      id !== null && times.plateMayBeLonger.includes(id) ? [number] : [],
    ),
    dayEnds: clock(dayEnds ?? undefined),
    latestAny: clock(latest?.anyUnit),
    latestFirst: clock(latest?.first),
    fit: latest?.fit ?? 0,
    shared: steps.some(({ once }) => once !== null),
  };
}

function rowsOf(units: readonly SheetUnit[]): UnitRow[] {
  if (units.length === 0) {
    const known = { version: null, left: null, failedOn: null, unread: null };
    return [{ ...known, hardware: null, site: null, details: {}, row: 1, serial: null, lastFour: null }];
  }
  return units.map((unit, index) => {
    const serial = paragraph(unit.serial);
    return {
      row: index + 1,
      serial,
      lastFour: serial.slice(-4),
      hardware: optional(unit.hardware ?? undefined),
      site: optional(unit.site ?? undefined),
      version: unit.version === null ? null : { ...unit.version, version: paragraph(unit.version.version) },
      left: unit.left,
      failedOn: unit.failedOn,
      unread: unit.unread === null ? null : { ...unit.unread, version: paragraph(unit.unread.version) },
      details: Object.fromEntries(
        Object.entries(unit.details).map(([name, text]) => [paragraph(name), paragraph(text)]),
      ),
    };
  });
}

export function sheetView(input: SheetInput): SheetView {
  const { product, release } = input;
  const steps = sheetSteps(product, release);
  const cardEach = product.card.afterUse !== 'unchanged';
  return {
    number: input.number,
    language: input.language,
    made: { ...input.made, by: optional(input.made.by ?? undefined) },
    product: {
      id: product.id,
      name: paragraph(product.name),
      maker: paragraph(product.maker),
      revision: product.revision ?? null,
    },
    release: {
      id: `${release.product}@${release.version}`,
      version: release.version,
      issued: release.issued,
      priority: release.priority,
      due: release.due ?? null,
      notes: optional(release.notes),
    },
    cautions: cautionsFor(product),
    source: sourceOf(product),
    gapsChecked: input.gapsChecked,
    news: { ...input.news, old: input.news.day === null || input.news.daysOld > newsOldAfterDays },
    mark: input.mark,
    time: timeOf(input, steps),
    bring: {
      cards: cardEach ? Math.max(1, input.units.length) : 1,
      cardEach,
      items: product.bring.map(paragraph),
    },
    units: rowsOf(input.units),
    byHand: input.units.length === 0,
    starts: Object.entries(product.positions).map(([position, { starts }]) => ({ position, state: starts })),
    site: placedList(siteOpened(product)).filter(
      ({ position, state }) => product.positions[position]?.starts !== state,
    ),
    ordered: Object.keys(product.order).length > 0 && input.units.length > 1,
    never: product.never.map(({ when, why }) => ({ when: placedList(when), why: paragraph(why) })),
    whileBusy: placedList(product.whileBusy),
    steps,
    lights: product.lights.map((light) => ({ ...light, label: paragraph(light.label) })),
    patterns: product.patterns.map(cleanPattern),
    helpline:
      product.helpline === undefined
        ? null
        : { phone: paragraph(product.helpline.phone), hours: optional(product.helpline.hours) },
  };
}
