// What the back of a sheet says: what to do when it fails, and the rows to fill in, one a unit, in the order in
// which the record asks for them. The rows never say what the version read ought to be: it would be copied.

import type { SheetLanguage } from '../language.ts';
import type { SheetView, UnitRow } from '../sheet-view.ts';
import { helplineText } from './front-content.ts';
import { showsSentence } from './light-content.ts';

export interface FailureContent {
  readonly points: readonly { readonly text: string; readonly list: readonly string[] }[];
  /** Whom to ring, or the label of a line for a number where none is known. */
  readonly helpline: { readonly label: string; readonly number: string | null };
}

export function failureContent(view: SheetView, words: SheetLanguage): FailureContent {
  const { failure } = words;
  const busy = view.patterns.filter((pattern) => pattern.busy);
  const point = (text: string, list: readonly string[] = []) => ({ text, list });
  return {
    points: [
      point(failure.people),
      point(failure.stop),
      point(failure.writingUnknown),
      ...(busy.length === 0
        ? []
        : [
            point(
              failure.writing,
              busy.map(({ shows }) => `${showsSentence(shows, view.lights, words)}.`),
            ),
          ]),
      point(failure.note),
      point(failure.outcome),
      point(failure.helplineClosed),
    ],
    helpline:
      view.helpline === null
        ? { label: failure.noHelpline, number: null }
        : { label: `${failure.helpline}:`, number: helplineText(view, words) },
  };
}

export type ResultField =
  | { readonly kind: 'write'; readonly label: string }
  | { readonly kind: 'choose'; readonly label: string; readonly choices: readonly string[] }
  | { readonly kind: 'given'; readonly label: string; readonly text: string }
  /** `From the plate: last four ____ revision ____` */
  | { readonly kind: 'fill'; readonly text: string };

export function resultFields(unit: UnitRow, { results }: SheetLanguage): ResultField[] {
  const write = (label: string): ResultField => ({ kind: 'write', label });
  const choose = (label: string, choices: readonly string[]): ResultField => {
    return { kind: 'choose', label, choices };
  };
  return [
    unit.serial === null
      ? write(results.serial)
      : { kind: 'given', label: results.serial, text: unit.serial },
    { kind: 'fill', text: results.plate },
    write(results.versionBefore),
    write(results.versionRead),
    choose(results.outcome, results.outcomes),
    write(results.lights),
    choose(results.left, results.leftChoices),
    choose(results.reason, results.reasons),
    choose(results.cause, results.causes),
    write(results.card),
    write(results.caseNumber),
    write(results.told),
    write(results.by),
    write(results.time),
    write(results.note),
  ];
}
