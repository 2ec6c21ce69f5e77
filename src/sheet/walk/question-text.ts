// One question of a walk as lines of text: where it stands, what has to be known first, what to do or say. The
// keys and fields to answer with are the front's. Lines are not wrapped; blanks before one are its indent.

import type { Pattern } from '../../manifest/schema.ts';
import { isWithin } from '../../procedure/walk/measure-progress.ts';
import type { MeasureQuestion, WalkQuestion } from '../../procedure/walk/walk-question.ts';
import { showsSentence } from '../content/light-content.ts';
import { paragraph } from '../paragraph.ts';
import { stopText } from './stop-text.ts';
import { actionText, frameNumber, placedText, stepName, type WalkTexts } from './walk-texts.ts';

export interface QuestionText {
  /** `STEP 12`, `CAUTION 3 of 15`. */
  readonly head: string;
  /** In full view above all else: the unit may be writing. */
  readonly warning: string | null;
  readonly lines: readonly string[];
}

/** Keys for a list: figures, then letters but for those that mean something else everywhere. */
const listKeys = '123456789abcdefghijklmnopqrtvwxyz';

export function patternKey(index: number): string {
  return listKeys[index] ?? `#${index + 1}`;
}

/** What keeps words together on paper is an ordinary blank on a screen. */
export function plainBlanks(text: string): string {
  return text.replace(/\u00a0/g, ' ');
}

/** What a pattern means, whether the unit may be writing, and whether to go on watching. */
export function meaningText({ words }: WalkTexts, pattern: Pattern, keeps: boolean): string {
  const parts = [
    paragraph(pattern.means),
    pattern.busy ? words.steps.mayWrite : '',
    keeps ? words.steps.stay : '',
  ];
  return parts.filter(Boolean).join('; ');
}

export function questionText(texts: WalkTexts, question: WalkQuestion): QuestionText {
  const { asked } = question;
  const warning = question.mayBeWriting && asked.kind !== 'stopped' ? texts.words.lights.busy : null;
  return {
    head: plainBlanks(headOf(texts, question)),
    warning,
    lines: linesOf(texts, question).filter((line) => line !== ''),
  };
}

/** The part of the frame on the sheet that a question belongs to. */
const frameKinds: Partial<Record<WalkQuestion['asked']['kind'], string>> = {
  plate: 'identify',
  'version-before': 'version-before',
  settings: 'settings',
  restore: 'restore',
  sign: 'service',
  left: 'condition',
  told: 'told',
};

function headOf(texts: WalkTexts, { asked, step, resuming, outcome }: WalkQuestion): string {
  const { walk } = texts.words;
  if (asked.kind === 'caution') return walk.caution(asked.index + 1, asked.count);
  if (asked.kind === 'stopped') return walk.stopped;
  if (resuming)
    return asked.kind === 'measure' ? `${walk.anew}: ${stepName(texts, asked.step.id)}` : walk.anew;
  if (step !== null) return stepName(texts, step.id).toUpperCase();
  const part = outcome === null ? walk.before : walk.after;
  const number = frameNumber(texts, frameKinds[asked.kind] ?? '');
  return number === undefined ? part : `${texts.words.steps.step(number).toUpperCase()} (${part})`;
}

function linesOf(texts: WalkTexts, question: WalkQuestion): string[] {
  const { words, cautions } = texts;
  const { walk, steps } = words;
  const { asked, step } = question;
  const needs = question.needs.length === 0 ? '' : `${steps.needs} ${placedText(texts, question.needs)}.`;
  const sets = question.sets.length === 0 ? '' : `${walk.thenStands} ${placedText(texts, question.sets)}.`;
  const why =
    step !== null && step.kind !== 'end' && step.why !== undefined
      ? `${steps.why} ${paragraph(step.why)}`
      : '';
  const lapsed =
    question.lapsed.length === 0 ? '' : walk.lapsed(question.lapsed.map((id) => stepName(texts, id)));
  switch (asked.kind) {
    case 'caution': {
      const { title, text } = cautions[asked.index]!;
      return [title, text];
    }
    case 'do':
      return [
        lapsed,
        needs,
        actionText(texts, asked.step),
        asked.triesLeft === null ? '' : walk.triesLeft(asked.triesLeft),
        why,
        sets,
      ];
    case 'hold':
      return [needs, actionText(texts, asked.step), why, sets];
    case 'plate-time':
      return [needs, walk.plateTime(words.duration(asked.waitSeconds)), why];
    case 'wait':
      return [needs, steps.wait(words.duration(asked.seconds)), why, sets];
    case 'measure':
      return [needs, why, ...measureLines(texts, asked)];
    case 'watch':
      return [
        needs,
        actionText(texts, asked.step),
        asked.patterns.some(({ pattern }) => pattern.busy) ? steps.watchHands : '',
        why,
        // What the lights do stands here, what it means beside the keys.
        ...asked.patterns.map(
          ({ pattern }, index) =>
            `  ${patternKey(index)}  ${paragraph(showsSentence(pattern.shows, texts.product.lights, words))}`,
        ),
      ];
    case 'read':
      return [needs, actionText(texts, asked.step), asked.again ? walk.readAgain : '', why];
    case 'sign':
      if (asked.sign === null) return [needs, steps.confirmNoList, why];
      return [needs, walk.sign(asked.index + 1, asked.count), `  ${paragraph(asked.sign)}`, why];
    case 'restore':
      return [
        walk.restore(asked.index + 1, asked.count),
        `  ${paragraph(asked.setting)}`,
        walk.restoreTo(paragraph(asked.before)),
      ];
    case 'settings':
      return [walk.settings, ...asked.settings.map((setting) => `  ${paragraph(setting)}`)];
    case 'starts':
      return [
        walk.starts,
        ...asked.positions.map(({ position, state }) => `  ${words.placed(position, state)}`),
        ...rulesLines(texts),
      ];
    case 'position':
      return [walk.position(asked.name)];
    case 'stopped':
      return stopText(texts, asked);
    case 'version-before':
      return [walk.versionBefore];
    case 'card':
    case 'plate':
    case 'lead':
    case 'left':
    case 'cause':
    case 'reason':
    case 'case':
    case 'told':
      return [walk[asked.kind]];
    case 'nothing':
      return [];
  }
}

/** What must hold all the way: seen once, before anything is touched. */
function rulesLines(texts: WalkTexts): string[] {
  const { words, product } = texts;
  const placed = (placing: Readonly<Record<string, string>>) =>
    placedText(
      texts,
      Object.entries(placing).map(([position, state]) => ({ position, state })),
    );
  const never = product.never.map(({ when, why }) => `  - ${placed(when)}: ${paragraph(why)}`);
  const stays = Object.keys(product.whileBusy).length === 0 ? [] : [`  - ${placed(product.whileBusy)}`];
  return [
    ...(never.length === 0 ? [] : [words.rules.never, ...never]),
    ...(stays.length === 0 ? [] : [words.rules.whileBusy, ...stays]),
  ];
}

function measureLines(texts: WalkTexts, asked: MeasureQuestion): string[] {
  const { words } = texts;
  const { measure } = asked.step;
  const unit = paragraph(measure.in);
  const between = (index: number) => paragraph(measure.between[index] ?? words.steps.reading);
  const action = [actionText(texts, asked.step), words.steps.limits(measure.from, measure.to, unit)];
  switch (asked.stage) {
    case 'meter-before':
      return [...action, words.walk.meterBefore];
    case 'meter-after':
      return [words.walk.meterAfter];
    case 'reading': {
      const count = Math.max(1, measure.between.length);
      const here = words.walk.reading(asked.readings.length + 1, count, between(asked.readings.length));
      // Said once, with the first of them: the readings then follow each other quickly.
      const first = asked.readings.length === 0 && !measure.proveMeter;
      return first ? [...action, here] : [here];
    }
    case 'review':
      return [
        ...asked.readings.map((value, index) => {
          const beyond = isWithin(measure, value) ? '' : `   ${words.walk.outside}`;
          return `  ${between(index)}: ${value} ${unit}${beyond}`;
        }),
        words.walk.review,
      ];
  }
}
