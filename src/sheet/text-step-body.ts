// What one step says below its number: what to do, what to write down, what to see, and each way on. With several
// units on the sheet, whatever is written or ticked has a place for every row.

import { columnWidth, foldAfter } from './fold.ts';
import type { GoTo, SheetStep, SheetStepBody } from './sheet-step.ts';
import { blankAfter, choiceLines, paragraphLines, type TextForm, tableLines } from './text-form.ts';
import { showsCell } from './text-lights.ts';

export const bodyIndent = 9;
export const margin = ' '.repeat(bodyIndent);

type Body<K extends SheetStepBody['kind']> = SheetStepBody & { readonly kind: K };

export function placedText(form: TextForm, placed: SheetStep['needs']): string {
  const { placed: one, placedTogether } = form.words;
  return `${placedTogether(placed.map(({ position, state }) => one(position, state)))}.`;
}

export function goToText(form: TextForm, goTo: GoTo | null): string {
  const { steps } = form.words;
  if (goTo === null) return steps.stay;
  return goTo.isNext ? steps.goOn(goTo.number) : steps.goTo(goTo.number);
}

export function below(form: TextForm, text: string): string[] {
  return paragraphLines(form, text, bodyIndent);
}

/** `All within: go on with step 8.` */
function leads(form: TextForm, when: string, goTo: GoTo | null): string[] {
  return foldAfter(`${margin}${when} `, `${goToText(form, goTo)}.`, form.width);
}

/** The same lines for each unit, headed by its row where there are several. */
function perRow(form: TextForm, lines: readonly string[]): string[] {
  const { units } = form.view;
  if (units.length === 1) return [...lines];
  return units.flatMap(({ row, lastFour }) => [
    ...below(form, `${form.words.steps.rowMark(row, lastFour)}:`),
    ...lines,
  ]);
}

/** One line to write on for each unit: `Row 2 (..4411): begun ____:____`. */
export function linePerRow(form: TextForm, text: string): string[] {
  const { units } = form.view;
  if (units.length === 1) return below(form, text);
  return units.flatMap(({ row, lastFour }) =>
    foldAfter(`${margin}${form.words.steps.rowMark(row, lastFour)}:  `, text, form.width),
  );
}

/** `1 [ ]  2 [ ]`, a box for each row. */
export function rowBoxes(form: TextForm, lead: string): string[] {
  const rows = form.view.units.map(({ row }) => `${row} [ ]`);
  const leadColumns = columnWidth(lead);
  const perLine = Math.max(1, Math.floor((form.width - leadColumns + 2) / 8));
  const lines: string[] = [];
  for (let at = 0; at < rows.length; at += perLine) {
    lines.push(`${at === 0 ? lead : ' '.repeat(leadColumns)}${rows.slice(at, at + perLine).join('  ')}`);
  }
  return lines;
}

/** Items to tick: with several units each has a box for every row. */
function ticked(form: TextForm, items: readonly string[]): string[] {
  if (form.view.units.length === 1) {
    return items.flatMap((item) => foldAfter(`${margin}[ ] `, item, form.width));
  }
  return items.flatMap((item) => [
    ...foldAfter(`${margin} -  `, item, form.width),
    ...rowBoxes(form, `${margin}    `),
  ]);
}

function measureLines(form: TextForm, body: Body<'measure'>, next: GoTo | null): string[] {
  const { steps } = form.words;
  const places = body.between.length === 0 ? [steps.reading] : body.between;
  const readings = places.flatMap((place) =>
    blankAfter(form, place, { indent: bodyIndent + 4, width: 64, end: body.unit }),
  );
  const proved = (text: string) => (body.proveMeter ? foldAfter(`${margin}[ ] `, text, form.width) : []);
  return [
    ...below(form, steps.limits(body.from, body.to, body.unit)),
    ...perRow(form, [...proved(steps.meterBefore), ...readings, ...proved(steps.meterAfter)]),
    ...(body.proveMeter ? below(form, steps.meterBad) : []),
    ...leads(form, steps.allWithin, next),
    ...leads(form, steps.anyOutside, body.outside),
  ];
}

function watchLines(form: TextForm, body: Body<'watch'>): string[] {
  const { steps } = form.words;
  const goColumns = Math.max(
    columnWidth(steps.stay),
    columnWidth(steps.goTo(999)),
    columnWidth(steps.doThis),
  );
  // Four rules and a blank on each side of three cells.
  const room = form.width - bodyIndent - 10 - goColumns;
  const seeColumns = Math.ceil(room * 0.58);
  const columns = [
    { title: steps.youSee, width: seeColumns },
    { title: steps.itMeans, width: room - seeColumns },
    { title: steps.doThis, width: goColumns },
  ];
  const go = (goTo: GoTo | null) => (goTo === null ? steps.stay : steps.goTo(goTo.number));
  const rows = body.rows.map((row) => [
    showsCell(row.shows, form, seeColumns),
    row.busy ? [row.means, `(${steps.mayWrite})`] : [row.means],
    [go(row.goTo)],
  ]);
  return [
    ...(body.busy ? below(form, steps.watchHands) : []),
    ...linePerRow(form, steps.watchTime),
    ...tableLines(bodyIndent, columns, [
      ...rows,
      [[steps.timeUp], [steps.timeUpMeans], [go(body.late)]],
      [[steps.otherLights], [steps.otherLightsMeans], [go(body.unlisted)]],
    ]),
  ];
}

function settingLines(form: TextForm, settings: readonly string[]): string[] {
  const lines = settings.flatMap((setting) => blankAfter(form, `${setting}:`, { indent: bodyIndent }));
  return perRow(form, lines);
}

function restoreLines(form: TextForm, body: Body<'restore'>): string[] {
  const { steps } = form.words;
  return [...below(form, steps.restoreSee(body.notedAt)), ...ticked(form, body.settings)];
}

function endLines(form: TextForm, body: Body<'end'>): string[] {
  const { steps, placed } = form.words;
  const stands = body.stands.map(({ position, state, left }) =>
    left ? `${placed(position, state)} (${steps.endLeft})` : placed(position, state),
  );
  // With several rows the boxes of the step itself do: one for each row.
  const lead = form.view.units.length === 1 ? `${margin}[ ] ` : `${margin} -  `;
  return [
    ...(stands.length > 0 ? below(form, steps.endStands) : []),
    ...stands.flatMap((text) => foldAfter(lead, text, form.width)),
    ...below(form, steps.endWrite[body.end]),
  ];
}

function conditionLines(form: TextForm, body: Body<'condition'>): string[] {
  const lines = body.positions.flatMap(({ name, states }) => choiceLines(form, `${margin}${name}: `, states));
  if (lines.length === 0) return [];
  return [...below(form, form.words.steps.conditionPositions), ...perRow(form, lines)];
}

function versionBeforeLines(form: TextForm, body: Body<'version-before'>): string[] {
  const { steps } = form.words;
  const { from } = body;
  const rule =
    from.kind === 'any'
      ? steps.fromAny
      : from.kind === 'list'
        ? steps.fromList(from.versions)
        : steps.fromRange(from.atLeast ?? null, from.below ?? null);
  const others = [steps.versionSame, from.kind === 'any' ? '' : steps.versionOther];
  return [rule, ...others, steps.versionUnreadable].filter(Boolean).flatMap((text) => below(form, text));
}

/** What stands on the first line, after the number. */
export function action(form: TextForm, body: SheetStepBody): string {
  const { steps, duration } = form.words;
  switch (body.kind) {
    case 'identify':
      return steps.identify;
    case 'version-before':
      return steps.versionBefore;
    case 'settings':
      return steps.settings;
    case 'do':
      return /[.!?:]$/.test(body.text) ? body.text : `${body.text}.`;
    case 'wait':
      return body.orPlate ? steps.waitPlate(duration(body.seconds)) : steps.wait(duration(body.seconds));
    case 'hold':
      return steps.hold(body.what, body.min, body.max);
    case 'measure':
      return steps.measure(body.what);
    case 'watch':
      return steps.watch(duration(body.withinSeconds));
    case 'read':
      return steps.readVersion(body.where);
    case 'confirm':
      return body.serves.length === 0 ? steps.confirmNoList : steps.confirm;
    case 'end':
      return steps.end[body.end];
    case 'restore':
      return steps.restore;
    case 'service':
      return steps.service;
    case 'condition':
      return steps.condition;
    case 'told':
      return steps.told;
  }
}

/** What follows below the first line. Where a step has several ways on, they are all said here. */
export function details(form: TextForm, step: SheetStep): string[] {
  const { body, goTo } = step;
  const { steps } = form.words;
  switch (body.kind) {
    case 'identify':
      return [...below(form, steps.identifyMatch(body.revisions)), ...below(form, steps.identifyOtherwise)];
    case 'version-before':
      return versionBeforeLines(form, body);
    case 'settings':
      return settingLines(form, body.settings);
    case 'wait':
      return linePerRow(form, body.orPlate ? steps.plateTime : steps.waitTime);
    case 'measure':
      return measureLines(form, body, goTo);
    case 'watch':
      return watchLines(form, body);
    case 'read':
      return [
        ...leads(form, steps.readSame, goTo),
        ...leads(form, steps.readOther, body.other),
        ...leads(form, steps.readUnreadable, body.unreadable),
      ];
    case 'confirm':
      return [
        ...ticked(form, body.serves),
        ...leads(form, steps.confirmAll, goTo),
        ...leads(form, steps.confirmOtherwise, body.otherwise),
      ];
    case 'end':
      return endLines(form, body);
    case 'restore':
      return restoreLines(form, body);
    case 'service':
      return [...ticked(form, body.serves), ...below(form, steps.serviceOtherwise)];
    case 'condition':
      return conditionLines(form, body);
    case 'told':
      return below(form, steps.tell);
    case 'do':
    case 'hold':
      return [];
  }
}
