// The walk of this unit is over: what it came to, and on to the result.

import { el } from '../tree.ts';
import type { App, InHand } from './app.ts';
import { button } from './fields.ts';
import type { Screen } from './screen.ts';

export function endedScreen(app: App, { unit, now, kept }: InHand): Screen {
  const { pocket, walk } = app.words;
  const outcome = now?.walk.result?.outcome;
  return {
    key: `ended ${unit.row}`,
    content: [
      el('h2', { tabindex: -1 }, outcome === undefined ? walk.after : walk.over[outcome]),
      ...(now?.walk.notes.why == null ? [] : [el('p', {}, now.walk.notes.why)]),
      el('p', {}, pocket.result.ended),
      button('main', pocket.result.toResult, () => app.change({ place: 'result' })),
      ...(kept.made === null || app.data.view.units.length < 2
        ? []
        : [button('other', pocket.next, () => app.change({ row: null }))]),
    ],
  };
}
