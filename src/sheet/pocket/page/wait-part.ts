// A wait: counts down to its end, which lies where the walk says, whatever happens on the page. Before that the walk
// takes no answer; the page does not offer one.

import type { Asked } from '../../../procedure/walk/walk-question.ts';
import { el } from '../tree.ts';
import type { App } from './app.ts';
import { setText } from './dom.ts';
import { button } from './fields.ts';
import { countdown, exactTime, nowMs } from './phone-clock.ts';
import type { LivePart } from './question-screen.ts';

export function waitPart(app: App, { overMs }: Extract<Asked, { kind: 'wait' }>): LivePart {
  const { pocket, walk } = app.words;
  const isOver = (atMs: number) => atMs >= overMs;
  const text = (atMs: number) => countdown(overMs - atMs);
  const press = () => {
    if (isOver(nowMs())) app.answer({ kind: 'done' });
  };
  const label = (atMs: number) => (isOver(atMs) ? pocket.waitGo : pocket.notOver);
  const begun = nowMs();
  return {
    content: [
      el('p', { class: 'timer', id: 'timer', role: 'timer' }, text(begun)),
      el('p', {}, walk.complaints['too-early']('', '', exactTime(overMs))),
      (() => {
        const go = button('main', label(begun), press);
        return {
          ...go,
          attributes: { ...go.attributes, id: 'wait-go', 'aria-disabled': isOver(begun) ? 'false' : 'true' },
        };
      })(),
    ],
    tick(atMs) {
      setText(document.getElementById('timer'), text(atMs));
      const go = document.getElementById('wait-go');
      setText(go, label(atMs));
      go?.setAttribute('aria-disabled', isOver(atMs) ? 'false' : 'true');
    },
  };
}
