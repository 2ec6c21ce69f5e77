// One question of the walk: where it stands, what has to be known first, what to do, and the ways to answer. The words
// are those of the walk at a terminal; how it is answered is the phone's.

import type { Walk } from '../../../procedure/walk/walk.ts';
import type { WalkQuestion } from '../../../procedure/walk/walk-question.ts';
import { complaintText } from '../../walk/complaint-text.ts';
import { questionText } from '../../walk/question-text.ts';
import { el, type Tree } from '../tree.ts';
import { mayTakeBack, withLastTakenBack, withNewStretch } from '../unit-walk.ts';
import { answerTrees, standsAlone } from './answer-trees.ts';
import type { App, InHand } from './app.ts';
import { button } from './fields.ts';
import { holdPart } from './hold-part.ts';
import { nowMs } from './phone-clock.ts';
import type { Screen } from './screen.ts';
import { waitPart } from './wait-part.ts';
import { watchPart } from './watch-part.ts';

export interface Asking extends InHand {
  readonly walk: Walk;
  readonly question: WalkQuestion;
}

/** A part of a screen that has a time running in it. */
export type LivePart = Omit<Screen, 'key'>;

/** Lines that begin with blanks are items of one list. */
function lineTrees(lines: readonly string[]): Tree[] {
  const trees: Tree[] = [];
  let items: Tree[] = [];
  const end = () => {
    if (items.length > 0) trees.push(el('ul', { class: 'plain' }, ...items));
    items = [];
  };
  for (const line of lines) {
    if (line.startsWith('  ')) items.push(el('li', {}, line.trim().replace(/^- /, '')));
    else {
      end();
      trees.push(el('p', {}, line));
    }
  }
  end();
  return trees;
}

/** The lines above the answers. A watch draws its lights itself, and a card is not read by a phone. */
function saidTrees(app: App, { texts, question }: Asking): Tree[] {
  const { asked } = question;
  if (asked.kind === 'card') return [el('p', {}, app.words.pocket.card)];
  const { lines } = questionText(texts, question);
  // Settings stand beside their fields, lights are drawn.
  if (asked.kind === 'watch' || asked.kind === 'settings') {
    return lineTrees(lines.filter((line) => !line.startsWith('  ')));
  }
  // What is to be read stands beside its field.
  if (asked.kind === 'measure' && asked.stage === 'reading') return lineTrees(lines.slice(0, -1));
  return lineTrees(lines);
}

function livePart(app: App, asking: Asking): LivePart | undefined {
  switch (asking.question.asked.kind) {
    case 'hold':
      return holdPart(app, asking.question.asked);
    case 'wait':
      return waitPart(app, asking.question.asked);
    case 'watch':
      return watchPart(app, asking, asking.question.asked);
    default:
      return undefined;
  }
}

/** Tells one question from another, and the same question asked again for want of a right answer. */
function keyOf({ unit, kept, question }: Asking): string {
  const answers = kept.walk?.stretches.reduce((sum, { events }) => sum + events.length, 0) ?? 0;
  return `question ${unit.row} ${kept.walk?.stretches.length} ${answers} ${kept.walk?.takenBack} ${question.asked.kind}`;
}

export function questionScreen(app: App, asking: Asking): Screen {
  const { words } = app;
  const { texts, question, kept, plan } = asking;
  const { head, warning } = questionText(texts, question);
  const { complaint } = app;
  const part = livePart(app, asking);
  const walk = kept.walk;
  const back =
    walk !== null && mayTakeBack(plan, walk)
      ? [button('quiet', words.pocket.takeBack, () => app.setWalk(withLastTakenBack(walk)))]
      : [];
  const stop = standsAlone(question.asked)
    ? []
    : [button('danger', words.pocket.stop, () => app.answer({ kind: 'stop' }))];
  return {
    key: keyOf(asking),
    content: [
      el('h2', { tabindex: -1 }, head),
      ...(warning === null ? [] : [el('p', { class: 'warning', id: 'busy' }, warning)]),
      ...(complaint === null
        ? []
        : [el('p', { class: 'alert', role: 'alert', id: 'complaint' }, complaintText(texts, complaint))]),
      el('div', { class: 'said' }, ...saidTrees(app, asking)),
      ...(part?.content ?? answerTrees(app, asking)),
      el('div', { class: 'aside' }, ...back, ...stop),
    ],
    ...(part?.mounted && { mounted: () => part.mounted?.() }),
    ...(part?.tick && { tick: (atMs: number) => part.tick?.(atMs) }),
    ...(part?.left && { left: () => part.left?.() }),
  };
}

/** The walk was broken off by the person: nothing is asked before it is taken up again. */
export function brokenOffScreen(app: App, { unit, kept }: InHand): Screen {
  const { pocket, walk: says } = app.words;
  const { walk } = kept;
  return {
    key: `broken ${unit.row}`,
    content: [
      el('h2', { tabindex: -1 }, says.stopped),
      el('p', {}, pocket.brokenOff),
      ...(walk === null
        ? []
        : [button('main', pocket.resume, () => app.setWalk(withNewStretch(walk, nowMs())))]),
    ],
  };
}
