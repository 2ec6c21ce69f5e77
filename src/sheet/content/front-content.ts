// What the front of a sheet says: its head, the cautions first of all, then where the procedure comes from and as
// of when, the time, what to bring, the units, and how things stand. In words and in order, not yet drawn.

import { formatMark } from '../../record/mark-text.ts';
import { type CautionText, cautionLines } from '../cautions.ts';
import type { SheetLanguage } from '../language.ts';
import type { SheetView, UnitRow } from '../sheet-view.ts';
import { placedText } from './step-content.ts';

export interface CautionGroup {
  /** null: the ones that always stand there need no word before them. */
  readonly intro: string | null;
  readonly items: readonly (CautionText & { readonly number: number })[];
}

export function cautionGroups(view: SheetView, words: SheetLanguage): CautionGroup[] {
  const numbered = cautionLines(view.cautions, words).map((text, index) => ({ ...text, number: index + 1 }));
  const always = view.cautions.always.length;
  const named = always + view.cautions.hazards.length;
  return [
    { intro: null, items: numbered.slice(0, always) },
    { intro: words.cautions.here, items: numbered.slice(always, named) },
    { intro: words.cautions.maker, items: numbered.slice(named) },
  ].filter(({ items }) => items.length > 0);
}

export interface Field {
  readonly label: string;
  readonly text: string;
  readonly warning: boolean;
}

/** First where the procedure comes from, then as of when the release stands. */
export function sourceFields(view: SheetView, words: SheetLanguage): [Field[], Field[]] {
  const { source } = words;
  const said = view.source;
  const field = (label: string, text: string): Field => ({ label, text, warning: false });
  const warn = (text: string): Field => ({ label: source.warning, text, warning: true });
  const document = [
    said.document ?? source.notNamed,
    said.issue === null ? '' : source.issue(said.issue),
    said.page === null ? '' : source.page(said.page),
  ];
  const release = [
    view.release.id,
    source.issued(view.release.issued),
    source.priority[view.release.priority],
    view.release.due === null ? '' : source.due(view.release.due),
  ];
  const news =
    view.news.day === null ? source.newsUnknown : source.newsAsOf(view.news.day, view.news.daysOld);
  const { mark } = view;
  return [
    [
      field(source.document, document.filter(Boolean).join(', ')),
      field(source.manifest, source.revision(view.product.id, view.product.revision)),
      field(source.writtenBy, said.writtenBy ?? source.notNamed),
      field(source.checkedBy, said.checkedBy ?? source.notNamed),
      ...said.warnings.map((warning) => warn(source.warnings[warning])),
      field(source.gaps, view.gapsChecked ? source.gapsChecked : source.gapsNotChecked),
    ],
    [
      field(source.release, release.filter(Boolean).join(', ')),
      ...(view.release.notes === null ? [] : [field(source.notes, view.release.notes)]),
      field(source.withdrawn, `${source.notWithdrawn(view.release.id)} ${news}`),
      ...(view.news.old ? [warn(source.newsOld)] : []),
      field(source.record, mark === null ? source.noRecord : source.mark(formatMark(mark))),
    ],
  ];
}

export interface TimeSaying {
  readonly text: string;
  /** The hour itself: when to begin by, or that there is none. */
  readonly isHour: boolean;
}

export function timeSayings(view: SheetView, words: SheetLanguage): TimeSaying[] {
  const { time: says, duration } = words;
  const { time } = view;
  const count = view.units.length;
  const sayings: TimeSaying[] = [];
  const say = (text: string) => sayings.push({ text, isHour: false });
  const hour = (text: string) => sayings.push({ text, isHour: true });
  if (time.longestSeconds === null) say(says.unknown);
  else {
    say(says.longest(duration(time.longestSeconds)));
    if (time.shortestSeconds !== null) {
      say(says.shortest(duration(Math.ceil(time.shortestSeconds / 60) * 60)));
    }
  }
  if (time.assumed.length > 0) {
    say(`${says.assumedIntro} ${time.assumed.map((kind) => says.assumed[kind]).join('; ')}.`);
  }
  if (time.plateSteps.length > 0) say(says.plate(time.plateSteps));
  if (time.longestSeconds !== null && time.dayEnds !== null) {
    if (time.latestAny === null) hour(says.doesNotFit(time.dayEnds));
    else {
      if (count > 1) {
        hour(
          time.latestFirst === null
            ? says.notAllFit(count, time.dayEnds, time.fit)
            : says.latestFirst(time.latestFirst, count),
        );
      }
      hour(says.latestAny(time.latestAny, time.dayEnds));
    }
    say(says.counted(count));
    if (time.shared && count > 1) say(says.shared);
  } else if (time.longestSeconds !== null) {
    hour(says.byHand(duration(time.longestSeconds + time.reserveMinutes * 60)));
    say(says.byHandNote);
  }
  say(says.late);
  return sayings;
}

/** `+00 555 0134 (07-19 UTC)`, hours as the language brackets them. */
export function helplineText({ helpline }: SheetView, words: SheetLanguage): string {
  if (helpline === null) return '';
  return [helpline.phone, ...(helpline.hours === null ? [] : [words.failure.hours(helpline.hours)])].join(
    ' ',
  );
}

export function bringItems(view: SheetView, words: SheetLanguage): string[] {
  const { bring } = words;
  return [
    view.bring.cardEach ? bring.cardEach(view.bring.cards, view.release.id) : bring.oneCard(view.release.id),
    bring.sheet,
    view.source.document === null ? bring.makersManual : bring.manual(view.source.document),
    bring.meter,
    bring.locks,
    view.helpline === null ? bring.phoneOnly : bring.phone(helplineText(view, words)),
    ...view.bring.items,
  ];
}

export interface UnitLine {
  readonly row: number;
  readonly serial: string;
  readonly revision: string;
  readonly site: string;
  readonly last: readonly string[];
  /** Role, address and the like, one after another; '' where nothing is known. */
  readonly details: string;
}

function lastKnown({ units }: SheetLanguage, { version, failedOn, unread, left }: UnitRow): string[] {
  const known =
    version === null
      ? units.notKnown
      : version.evidence === 'read'
        ? units.read(version.version, version.day)
        : units.reported(version.version, version.day);
  return [
    known,
    ...(failedOn === null ? [] : [units.failed(failedOn)]),
    ...(unread === null ? [] : [units.unread(unread.version, unread.day)]),
    ...(left === null || left === 'running' ? [] : [units.left[left]]),
  ];
}

function detailsOf({ units }: SheetLanguage, unit: UnitRow): string {
  const label = (name: string) =>
    Object.hasOwn(units.details, name) ? units.details[name as keyof typeof units.details] : name;
  const notes = Object.entries(unit.details).map(([name, text]) => `${label(name)}: ${text}.`);
  if (unit.hardware === null) notes.push(`${units.revisionNotKnown}.`);
  return notes.join(' ');
}

/** None where the one row is to be filled in by hand. */
export function unitLines(view: SheetView, words: SheetLanguage): UnitLine[] {
  if (view.byHand) return [];
  return view.units.map((unit) => ({
    row: unit.row,
    serial: unit.serial ?? '',
    revision: unit.hardware ?? '?',
    site: unit.site ?? words.units.notKnown,
    last: lastKnown(words, unit),
    details: detailsOf(words, unit),
  }));
}

/** How the rows are gone through; none for a single one. */
export function orderText(view: SheetView, { units }: SheetLanguage): string | null {
  if (view.units.length < 2) return null;
  return view.ordered ? `${units.order} ${units.byRole}` : units.order;
}

export interface Rules {
  /** From what the procedure begins: to be seen and ticked. */
  readonly starts: readonly string[];
  readonly never: readonly string[];
  readonly whileBusy: string | null;
}

export function rulesContent(view: SheetView, words: SheetLanguage): Rules {
  return {
    starts: view.starts.map(({ position, state }) => {
      const later = view.site.find((placed) => placed.position === position);
      const first = words.placed(position, state);
      return later === undefined
        ? first
        : `${first} (${words.rules.later(words.placed(position, later.state))})`;
    }),
    never: view.never.map(({ when, why }) => `${placedText(words, when)}. ${why}`),
    whileBusy:
      view.whileBusy.length === 0 ? null : `${words.rules.whileBusy} ${placedText(words, view.whileBusy)}.`,
  };
}
