// The button that plays a pattern, beside its drawing. One plays at a time; where the phone asks for little movement
// there is no button, and a word says why.

import type { Pattern } from '../../../manifest/schema.ts';
import { moves } from '../light-tree.ts';
import { type TreeElement, withHandlers } from '../tree.ts';
import type { App } from './app.ts';
import { button } from './fields.ts';
import { isPlaying, playPattern, stopPlaying, wantsStillness } from './light-player.ts';

/** Within the element that holds the lamps. */
export function playButton(app: App, pattern: Pattern): TreeElement | null {
  if (!moves(pattern.shows) || wantsStillness()) return null;
  const { lights } = app.words.pocket;
  const label = (target: HTMLElement, playing: boolean) => {
    target.textContent = playing ? lights.stop : lights.play;
    target.setAttribute('aria-pressed', String(playing));
  };
  const made = button('quiet', lights.play, () => {});
  return withHandlers(
    { ...made, attributes: { ...made.attributes, class: 'quiet play', 'aria-pressed': 'false' } },
    {
      click: (event) => {
        const target = (event as Event).currentTarget as HTMLElement;
        const place = target.closest('.pattern');
        if (place === null) return;
        if (isPlaying(place)) return stopPlaying();
        playPattern(place, pattern.id, app.data, () => label(target, false));
        label(target, isPlaying(place));
      },
    },
  );
}
