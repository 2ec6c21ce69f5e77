// The page was opened with a walk under way. Whether it may simply go on, only somebody who stood there all the time
// can say; after more than a quarter of an hour nobody can, and all is confirmed anew.

import { el } from '../tree.ts';
import { withNewStretch } from '../unit-walk.ts';
import type { App, InHand } from './app.ts';
import { button } from './fields.ts';
import { nowMs, timeOfDay } from './phone-clock.ts';
import type { Screen } from './screen.ts';

export const longestAwayMs = 15 * 60_000;

/** `aliveMs`: when the page was last seen running, before it was opened now. */
export function reloadScreen(app: App, { unit, kept }: InHand, aliveMs: number): Screen {
  const { reload } = app.words.pocket;
  const atMs = nowMs();
  const tooLong = atMs - aliveMs > longestAwayMs || atMs < aliveMs;
  const { walk } = kept;
  const goOn = () => {
    app.mustAskReload = false;
    app.change({});
  };
  const anew = () => {
    app.mustAskReload = false;
    if (walk !== null) app.setWalk(withNewStretch(walk, atMs));
  };
  return {
    key: `reload ${unit.row}`,
    content: [
      el('h2', { tabindex: -1 }, reload.title),
      el('p', { class: 'strong' }, app.words.pocket.unit(unit.row, unit.serial)),
      el('p', {}, reload.text(timeOfDay(aliveMs), timeOfDay(atMs))),
      ...(tooLong ? [el('p', { class: 'warning' }, reload.mustAnew)] : [button('main', reload.stayed, goOn)]),
      button(tooLong ? 'main' : 'other', reload.anew, anew),
    ],
  };
}
