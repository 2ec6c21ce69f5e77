// What every text of a walk is made with: the language, the manifests' names, and the numbers that the steps have
// on the printed sheet, so that paper, screen and telephone call a step by the same number.

import type { Product, Release, Step } from '../../manifest/schema.ts';
import type { Placed } from '../../procedure/walk/walk-question.ts';
import { type CautionText, cautionLines, cautionsFor } from '../cautions.ts';
import type { SheetLanguage } from '../language.ts';
import { paragraph } from '../paragraph.ts';
import { sheetSteps } from '../sheet-steps.ts';

export interface WalkTexts {
  readonly words: SheetLanguage;
  readonly product: Product;
  readonly release: Release;
  readonly serial: string;
  readonly cautions: readonly CautionText[];
  /** Number of a step on the sheet, by the manifest's id, or by the name of a part of the frame. */
  readonly numbers: ReadonlyMap<string, number>;
  /** `14:30`, local. */
  time(atMs: number): string;
}

export function walkTexts(
  words: SheetLanguage,
  product: Product,
  release: Release,
  serial: string,
  time: (atMs: number) => string,
): WalkTexts {
  // A part of the frame has no id; `frame ` cannot begin the id of a step.
  const numbers = new Map(
    sheetSteps(product, release).map(({ id, number, body }) => [id ?? `frame ${body.kind}`, number]),
  );
  const cautions = cautionLines(cautionsFor(product), words);
  return { words, product, release, serial, cautions, numbers, time };
}

export function frameNumber({ numbers }: WalkTexts, kind: string): number | undefined {
  return numbers.get(`frame ${kind}`);
}

/** `Step 12` */
export function stepName({ words, numbers }: WalkTexts, id: string): string {
  const number = numbers.get(id);
  return number === undefined ? id : words.steps.step(number);
}

export function placedText({ words }: WalkTexts, placed: readonly Placed[]): string {
  return words.placedTogether(placed.map(({ position, state }) => words.placed(position, state)));
}

/** What is to be done, in one sentence. */
export function actionText({ words, product }: WalkTexts, step: Step): string {
  const { steps } = words;
  switch (step.kind) {
    case 'do': {
      const text = paragraph(step.do);
      return /[.!?:]$/.test(text) ? text : `${text}.`;
    }
    case 'wait': {
      const time = words.duration(step.waitSeconds);
      return step.orPlate ? steps.waitPlate(time) : steps.wait(time);
    }
    case 'hold':
      return steps.hold(paragraph(step.hold), step.forSeconds.min, step.forSeconds.max);
    case 'measure':
      return steps.measure(paragraph(step.measure.what));
    case 'watch':
      return steps.watch(words.duration(step.withinSeconds));
    case 'read':
      return words.walk.read(step.where === undefined ? null : paragraph(step.where));
    case 'confirm':
      return product.serves.length === 0
        ? steps.confirmNoList
        : `${steps.confirm} ${product.serves.map(paragraph).join('; ')}.`;
    case 'end':
      return steps.end[step.end];
  }
}
