// Ten seconds in which a person counts flashes: nobody can judge a rate by eye.

import { el } from '../tree.ts';
import type { App } from './app.ts';
import { setText } from './dom.ts';
import { button } from './fields.ts';
import { withId } from './hold-part.ts';
import { countdown, nowMs } from './phone-clock.ts';
import type { LivePart } from './question-screen.ts';

const countedMs = 10_000;

export function countPart(app: App): LivePart {
  const { count } = app.words.pocket;
  let endMs: number | undefined;
  const find = () => document.getElementById('count-says');
  const say = (text: string) => {
    setText(find(), text);
    setText(document.getElementById('heard'), text);
  };
  return {
    content: [
      el(
        'div',
        { class: 'count' },
        withId(
          'count-start',
          button('quiet', count.start, () => {
            endMs = nowMs() + countedMs;
            app.sounds.call();
            say(count.now);
          }),
        ),
        el('p', { id: 'count-says' }),
        el('p', { id: 'count-left', class: 'counting' }),
      ),
    ],
    tick(atMs) {
      if (endMs === undefined) return;
      setText(document.getElementById('count-left'), atMs < endMs ? countdown(endMs - atMs) : '');
      if (atMs < endMs) return;
      endMs = undefined;
      app.sounds.alarm();
      say(count.over);
    },
  };
}
