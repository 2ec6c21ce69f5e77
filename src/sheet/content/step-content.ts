// What one step says, line by line and in its order: what must be known before doing it, what to do, what to write
// down or tick, and each way on. Every form of the sheet draws the same lines; none adds or leaves out any. With
// several units on the sheet, whatever is written or ticked has a place for every row: `Each` says where.

import type { SheetLanguage } from '../language.ts';
import type { GoTo, Placed, SheetStep, SheetStepBody, WatchRow } from '../sheet-step.ts';
import type { SheetView } from '../sheet-view.ts';

export interface WatchLine {
  /** What is seen: a pattern's lights, or words where no pattern stands for it. */
  readonly sees: WatchRow['shows'] | string;
  readonly means: readonly string[];
  readonly go: string;
  /** The number of the step that `go` names; null: it stays here. */
  readonly to: number | null;
}

export type StepLine =
  | { readonly kind: 'say'; readonly text: string }
  /** `All within:` and where that leads. */
  | { readonly kind: 'way'; readonly when: string; readonly go: string; readonly to: number | null }
  /** A line to write on behind its label; `end` stands after it. */
  | { readonly kind: 'reading' | 'setting'; readonly label: string; readonly end: string | null }
  /** `begun ____:____`, once for each row. */
  | { readonly kind: 'fill'; readonly text: string }
  | { readonly kind: 'tick'; readonly text: string }
  /** A box for each row. */
  | { readonly kind: 'tickRows'; readonly text: string }
  /** A box; with several rows those of the step itself do. */
  | { readonly kind: 'stand'; readonly text: string }
  | { readonly kind: 'choose'; readonly label: string; readonly choices: readonly string[] }
  | { readonly kind: 'watch'; readonly titles: readonly [string, string, string]; readonly rows: WatchLine[] }
  /** The same lines once for each row, headed by it where there are several. */
  | { readonly kind: 'eachRow'; readonly lines: readonly StepLine[] };

export interface StepContent {
  readonly number: number;
  readonly part: SheetStep['part'];
  /** Only if another step sends here; how often at most; what must be so. */
  readonly before: readonly string[];
  readonly action: string;
  /** `(about 4 min)`; '' where the manifest states no time. */
  readonly taking: string;
  readonly why: string | null;
  readonly lines: readonly StepLine[];
  /** A box for every time that it may be tried. */
  readonly tries: { readonly text: string; readonly boxes: number } | null;
  readonly sets: string | null;
  /** Where it leads, if not simply on and not said by its lines. */
  readonly onward: { readonly go: string; readonly to: number } | null;
}

interface Saying {
  readonly words: SheetLanguage;
  readonly view: SheetView;
}
type Body<K extends SheetStepBody['kind']> = SheetStepBody & { readonly kind: K };

export function placedText(words: SheetLanguage, placed: readonly Placed[]): string {
  return words.placedTogether(placed.map(({ position, state }) => words.placed(position, state)));
}

export function goToText({ steps }: SheetLanguage, goTo: GoTo | null): string {
  if (goTo === null) return steps.stay;
  return goTo.isNext ? steps.goOn(goTo.number) : steps.goTo(goTo.number);
}

/** Capital only where it stands at the beginning of a sentence. */
function asSentence(text: string): string {
  return `${text.charAt(0).toUpperCase()}${text.slice(1)}.`;
}

const say = (text: string): StepLine => ({ kind: 'say', text });

function way({ words }: Saying, when: string, goTo: GoTo | null): StepLine {
  return { kind: 'way', when, go: `${goToText(words, goTo)}.`, to: goTo?.number ?? null };
}

function measureLines(saying: Saying, body: Body<'measure'>, next: GoTo | null): StepLine[] {
  const { steps } = saying.words;
  const places = body.between.length === 0 ? [steps.reading] : body.between;
  const proved = (text: string): StepLine[] => (body.proveMeter ? [{ kind: 'tick', text }] : []);
  return [
    say(steps.limits(body.from, body.to, body.unit)),
    {
      kind: 'eachRow',
      lines: [
        ...proved(steps.meterBefore),
        ...places.map((label): StepLine => ({ kind: 'reading', label, end: body.unit })),
        ...proved(steps.meterAfter),
      ],
    },
    ...(body.proveMeter ? [say(steps.meterBad)] : []),
    way(saying, steps.allWithin, next),
    way(saying, steps.anyOutside, body.outside),
  ];
}

function watchLines({ words }: Saying, body: Body<'watch'>): StepLine[] {
  const { steps } = words;
  const lead = (goTo: GoTo | null) => {
    return { go: goTo === null ? steps.stay : steps.goTo(goTo.number), to: goTo?.number ?? null };
  };
  const rows = body.rows.map((row): WatchLine => {
    const means = row.busy ? [row.means, `(${steps.mayWrite})`] : [row.means];
    return { sees: row.shows, means, ...lead(row.goTo) };
  });
  return [
    ...(body.busy ? [say(steps.watchHands)] : []),
    { kind: 'fill', text: steps.watchTime },
    {
      kind: 'watch',
      titles: [steps.youSee, steps.itMeans, steps.doThis],
      rows: [
        ...rows,
        { sees: steps.timeUp, means: [steps.timeUpMeans], ...lead(body.late) },
        { sees: steps.otherLights, means: [steps.otherLightsMeans], ...lead(body.unlisted) },
      ],
    },
  ];
}

function endLines({ words }: Saying, body: Body<'end'>): StepLine[] {
  const { steps, placed } = words;
  const stands = body.stands.map(({ position, state, left }): StepLine => {
    const text = left ? `${placed(position, state)} (${steps.endLeft})` : placed(position, state);
    return { kind: 'stand', text };
  });
  return [...(stands.length > 0 ? [say(steps.endStands)] : []), ...stands, say(steps.endWrite[body.end])];
}

/** A step that is done once for the site has one box, one time and one reading, however many rows there are. */
export function viewOfStep(step: SheetStep, view: SheetView): SheetView {
  return step.once === null ? view : { ...view, units: view.units.slice(0, 1) };
}

function conditionLines({ words }: Saying, body: Body<'condition'>): StepLine[] {
  if (body.positions.length === 0) return [];
  const lines = body.positions.map(({ name, states }): StepLine => {
    return { kind: 'choose', label: name, choices: states };
  });
  return [say(words.steps.conditionPositions), { kind: 'eachRow', lines }];
}

function versionBeforeLines({ words: { steps } }: Saying, { from }: Body<'version-before'>): StepLine[] {
  const rule =
    from.kind === 'any'
      ? steps.fromAny
      : from.kind === 'list'
        ? steps.fromList(from.versions)
        : steps.fromRange(from.atLeast ?? null, from.below ?? null);
  const others = [steps.versionSame, from.kind === 'any' ? '' : steps.versionOther];
  return [rule, ...others, steps.versionUnreadable].filter(Boolean).map(say);
}

function actionOf({ steps, duration }: SheetLanguage, body: SheetStepBody): string {
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

function linesOf(saying: Saying, { body, goTo, endsSite }: SheetStep): StepLine[] {
  const { steps } = saying.words;
  const ticks = (items: readonly string[]) => items.map((text): StepLine => ({ kind: 'tickRows', text }));
  switch (body.kind) {
    case 'identify':
      return [say(steps.identifyMatch(body.revisions)), say(steps.identifyOtherwise)];
    case 'version-before':
      return versionBeforeLines(saying, body);
    case 'settings':
      return [
        {
          kind: 'eachRow',
          lines: body.settings.map((text) => ({ kind: 'setting', label: `${text}:`, end: null })),
        },
      ];
    case 'wait':
      return [{ kind: 'fill', text: body.orPlate ? steps.plateTime : steps.waitTime }];
    case 'measure':
      return measureLines(saying, body, goTo);
    case 'watch':
      return watchLines(saying, body);
    case 'read':
      return [
        way(saying, steps.readSame, goTo),
        way(saying, steps.readOther, body.other),
        way(saying, steps.readUnreadable, body.unreadable),
      ];
    case 'confirm':
      return [
        ...ticks(body.serves),
        way(saying, steps.confirmAll, goTo),
        way(saying, steps.confirmOtherwise, body.otherwise),
      ];
    case 'end':
      return [...endLines(saying, body), ...(endsSite ? [say(steps.endsSite)] : [])];
    case 'restore':
      return [say(steps.restoreSee(body.notedAt)), ...ticks(body.settings)];
    case 'service':
      return [...ticks(body.serves), say(steps.serviceOtherwise)];
    case 'condition':
      return conditionLines(saying, body);
    case 'told':
      return [say(steps.tell)];
    case 'do':
    case 'hold':
      return [];
  }
}

const saysWaysOn: readonly SheetStepBody['kind'][] = ['measure', 'watch', 'read', 'confirm'];

export function stepContent(step: SheetStep, view: SheetView, words: SheetLanguage): StepContent {
  const { steps } = words;
  const { goTo, body, onlyFrom } = step;
  const only =
    onlyFrom === null ? [] : onlyFrom.length === 0 ? [steps.onlyFromNowhere] : [steps.onlyFrom(onlyFrom)];
  const leadsOn = goTo !== null && !goTo.isNext && !saysWaysOn.includes(body.kind);
  return {
    number: step.number,
    part: step.part,
    before: [
      ...(step.once === null ? [] : [steps.once[step.once]]),
      ...only,
      ...(step.tries === null ? [] : [steps.tries(step.tries.tries, step.tries.otherwise.number)]),
      ...(step.needs.length === 0 ? [] : [`${steps.needs} ${placedText(words, step.needs)}.`]),
    ],
    action: actionOf(words, body),
    taking: step.takesSeconds === null ? '' : steps.takes(words.duration(step.takesSeconds)),
    why: step.why === null ? null : `${steps.why} ${step.why}`,
    lines: linesOf({ view, words }, step),
    tries: step.tries === null ? null : { text: steps.tickTries, boxes: step.tries.tries },
    sets: step.sets.length === 0 ? null : `${steps.sets} ${placedText(words, step.sets)}.`,
    onward: leadsOn ? { go: asSentence(goToText(words, goTo)), to: goTo.number } : null,
  };
}
