// How the page looks and sounds: bright sun or dark, four sizes of text, sound on or off. Each a button that says what
// it does; all of it is kept.

import { el, type Tree, withHandlers } from '../tree.ts';
import type { App } from './app.ts';
import { sizes } from './pocket-state.ts';

export function controlTrees(app: App): Tree[] {
  const { pocket } = app.words;
  const { theme, size, sound } = app.state;
  const button = (id: string, text: string, press: () => void) =>
    withHandlers(el('button', { type: 'button', id, class: 'control' }, text), { click: press });
  const nextSize = sizes[(sizes.indexOf(size as (typeof sizes)[number]) + 1) % sizes.length] as number;
  return [
    button('theme', theme === 'sun' ? pocket.dark : pocket.sun, () =>
      app.change({ theme: theme === 'sun' ? 'dark' : 'sun' }),
    ),
    button('size', pocket.size(nextSize), () => app.change({ size: nextSize })),
    button('sound', pocket.sound(!sound), () => app.change({ sound: !sound })),
  ];
}

/** On the page itself: the style sheet does the rest. */
export function applyLook({ state }: App): void {
  const { documentElement } = document;
  documentElement.dataset.theme = state.theme;
  documentElement.dataset.place = state.opened ? state.place : 'walk';
  documentElement.dataset.size = String(state.size);
}

export function placeTrees(app: App): Tree[] {
  const { pocket } = app.words;
  const named = Object.entries(pocket.places) as [keyof typeof pocket.places, string][];
  return named.map(([place, name]) =>
    withHandlers(
      el(
        'button',
        {
          type: 'button',
          class: 'place',
          id: `place-${place}`,
          'aria-current': app.state.place === place ? 'page' : undefined,
        },
        name,
      ),
      { click: () => app.change({ place }) },
    ),
  );
}
