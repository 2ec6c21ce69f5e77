// A stop in words: why, how everything stands, and then either the manifest's own order from here or whom to ask
// what. It gives no order of its own, and names no step that the manifest does not lead to from here.

import type { Stand } from '../../procedure/walk/stand.ts';
import type { Asked } from '../../procedure/walk/walk-question.ts';
import type { OrderedStep } from '../../procedure/walk/way-out.ts';
import { showsSentence } from '../content/light-content.ts';
import { paragraph } from '../paragraph.ts';
import { actionText, stepName, type WalkTexts } from './walk-texts.ts';

type Stopped = Extract<Asked, { kind: 'stopped' }>;

export function stopText(texts: WalkTexts, { why, stand }: Stopped): string[] {
  const { words } = texts;
  const { stop } = words.walk;
  if (stand.untouched) return [stop.why[why], stop.untouched];
  return [
    stop.why[why],
    ...(stand.mayBeWriting ? [words.lights.busy] : []),
    ...standLines(texts, stand, why === 'positions-differ' ? stop.seen : stop.stands),
    ...onward(texts, stand),
  ];
}

function standLines(texts: WalkTexts, { positions, step }: Stand, head: string): string[] {
  const { words } = texts;
  return [
    head,
    ...positions.map(({ name, state, orElse }) => {
      const doubt =
        orElse === null || step === null ? '' : `, ${words.walk.stop.orElse(orElse, stepName(texts, step))}`;
      return `  ${words.placed(name, state)}${doubt}`;
    }),
  ];
}

function onward(texts: WalkTexts, stand: Stand): string[] {
  const { stop } = texts.words.walk;
  if (stand.ended && !stand.mayBeWriting) return [stop.ended];
  if (stand.order !== null)
    return [stop.order, ...stand.order.flatMap((one, i) => orderLines(texts, stand.order!, one, i))];
  return [...(stand.ended ? [stop.ended] : [stop.noOrder]), ...whomToAsk(texts, stand)];
}

function orderLines(
  texts: WalkTexts,
  order: readonly OrderedStep[],
  { id, exits }: OrderedStep,
  index: number,
): string[] {
  const { words, product } = texts;
  const { stop } = words.walk;
  const step = product.procedure.find((one) => one.id === id)!;
  if (step.kind === 'end') {
    const left = Object.entries(product.positions).map(([name, { ends }]) =>
      words.placed(name, step.leaves[name] ?? ends),
    );
    return [`  ${stepName(texts, id)}: ${stop.endsAs(step.end, words.placedTogether(left))}`];
  }
  const lines = [`  ${stepName(texts, id)}: ${actionText(texts, step)}`];
  if (step.kind === 'measure') {
    const { from, to, in: unit } = step.measure;
    lines.push(`    ${words.steps.limits(from, to, paragraph(unit))}`);
  }
  // The one way on that is simply the next line need not be said.
  if (exits.length === 1 && exits[0]!.to === order[index + 1]?.id) return lines;
  for (const exit of exits) lines.push(`    ${wayText(texts, step.kind, exit)} ${stepName(texts, exit.to)}`);
  return lines;
}

function wayText(texts: WalkTexts, kind: string, { reason, pattern }: OrderedStep['exits'][number]): string {
  const { words, product } = texts;
  const { stop } = words.walk;
  if (kind === 'measure' && reason === 'passes') return stop.measured;
  if (kind === 'measure' && reason === 'does-not-pass') return stop.notMeasured;
  const shown = pattern === undefined ? undefined : product.patterns.find(({ id }) => id === pattern);
  if (shown === undefined) return stop.ways[reason];
  return `${stop.ways[reason]} ${paragraph(showsSentence(shown.shows, product.lights, words))};`;
}

function whomToAsk(texts: WalkTexts, { mayBeWriting, positions }: Stand): string[] {
  const { words, product } = texts;
  const { stop } = words.walk;
  const { helpline } = product;
  const whom =
    helpline === undefined
      ? words.failure.noHelpline
      : [
          `${words.failure.helpline} ${paragraph(helpline.phone)}`,
          ...(helpline.hours === undefined ? [] : [words.failure.hours(paragraph(helpline.hours))]),
        ].join(' ');
  const away = positions.filter(
    ({ state, orElse, ends }) => state !== ends || (orElse !== null && orElse !== ends),
  );
  return [
    stop.ask,
    `  ${whom}`,
    // How to bring things back is not even asked while it may be writing: first comes when that is over.
    ...(mayBeWriting
      ? [`  - ${stop.askWriting}`]
      : away.map(({ name, state, orElse, ends }) => {
          const standing = state === ends ? (orElse ?? state) : state;
          return `  - ${stop.askPosition(name, standing, ends)}`;
        })),
    `  - ${stop.askStays}`,
    words.failure.people,
  ];
}
