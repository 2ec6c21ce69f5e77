// What a walk says before its first question: which unit, which firmware, whose procedure, and how to leave.

import { paragraph } from '../paragraph.ts';
import { sourceOf } from '../sheet-view.ts';
import type { WalkTexts } from './walk-texts.ts';

/** `begun`: when a visit that goes on was begun; null for a new one. */
export function openingText({ words, product, release, serial }: WalkTexts, begun: string | null): string[] {
  const { walk, source } = words;
  const said = sourceOf(product);
  const named = [
    said.document,
    said.issue === null ? null : source.issue(said.issue),
    said.page === null ? null : source.page(said.page),
  ].filter((part) => part !== null);
  const who = [
    `${source.writtenBy} ${said.writtenBy ?? source.notNamed}`,
    `${source.checkedBy} ${said.checkedBy ?? source.notNamed}`,
  ];
  return [
    walk.title(paragraph(serial), paragraph(product.name)),
    walk.carries(`${release.product}@${release.version}`),
    ...(named.length === 0 ? [] : [walk.source(named.join(', '))]),
    `${who.join('; ')}; ${source.gapsChecked}.`,
    ...said.warnings.map((warning) => `${source.warning} ${source.warnings[warning]}`),
    ...(begun === null ? [] : [walk.resumed(begun)]),
    walk.leave,
  ];
}
