// The chart of lights is the sheet's own, further down the page; here it learns to play.

import { el } from '../tree.ts';
import type { App } from './app.ts';
import { countPart } from './count-part.ts';
import { toNode } from './dom.ts';
import { stopPlaying, wantsStillness } from './light-player.ts';
import { playButton } from './play-button.ts';
import type { Screen } from './screen.ts';

export function lightsScreen(app: App): Screen {
  const count = countPart(app);
  const still = wantsStillness() ? [el('p', {}, app.words.pocket.lights.still)] : [];
  return {
    key: 'lights',
    content: [...still, ...count.content],
    mounted() {
      for (const place of document.querySelectorAll('#lights .pattern')) {
        if (place.querySelector('.play') !== null) continue;
        const id = place.getAttribute('data-pattern');
        const pattern = app.data.view.patterns.find((one) => one.id === id);
        const play = pattern === undefined ? null : playButton(app, pattern);
        if (play !== null) place.append(toNode(play));
      }
    },
    tick: (atMs) => count.tick?.(atMs),
    left: stopPlaying,
  };
}
