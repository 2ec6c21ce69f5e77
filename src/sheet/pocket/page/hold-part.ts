// A button held for a time: the page counts aloud with the person, from three down to the press, and calls when to
// let go, half-way between the shortest and the longest time. It only helps counting; done is what the person says.

import type { Asked } from '../../../procedure/walk/walk-question.ts';
import { el } from '../tree.ts';
import type { App } from './app.ts';
import { byId, setText } from './dom.ts';
import { button } from './fields.ts';
import { nowMs } from './phone-clock.ts';
import type { LivePart } from './question-screen.ts';

const leadSeconds = 3;

export function holdPart(app: App, { step }: Extract<Asked, { kind: 'hold' }>): LivePart {
  const { pocket, walk } = app.words;
  const { hold } = pocket;
  const { min, max } = step.forSeconds;
  const letGo = (min + max) / 2;
  let pressMs: number | undefined;
  let said = '';
  const start = () => {
    pressMs = nowMs() + leadSeconds * 1000;
    said = '';
    setText(byId('hold-start'), hold.again);
  };
  const say = (text: string, sound: () => void) => {
    if (said === text) return;
    said = text;
    setText(byId('heard'), text);
    sound();
  };
  return {
    content: [
      el('p', {}, hold.ready),
      el('p', { class: 'timer', id: 'timer', role: 'timer' }, hold.seconds(0)),
      el('p', { class: 'call', id: 'call' }),
      withId('hold-start', button('other', hold.start, start)),
      button('main', walk.keys.held, () => app.answer({ kind: 'done' })),
    ],
    tick(atMs) {
      if (pressMs === undefined) return;
      const seconds = (atMs - pressMs) / 1000;
      const timer = byId('timer');
      const call = byId('call');
      if (seconds < 0) {
        setText(timer, String(Math.ceil(-seconds)));
        setText(call, hold.ready);
        return say(String(Math.ceil(-seconds)), app.sounds.tick);
      }
      setText(timer, hold.seconds(Math.floor(seconds)));
      if (seconds < letGo && seconds < max) {
        setText(call, hold.press);
        if (seconds < 1) return say(hold.press, app.sounds.call);
        return say(String(Math.floor(seconds)), app.sounds.tick);
      }
      if (seconds <= Math.max(max, letGo + 1)) {
        setText(call, hold.letGo);
        return say(hold.letGo, app.sounds.alarm);
      }
      setText(call, hold.tooLong);
      say(hold.tooLong, app.sounds.call);
      pressMs = undefined;
    },
  };
}

export function withId<T extends { readonly attributes: Readonly<Record<string, unknown>> }>(
  id: string,
  of: T,
): T {
  return { ...of, attributes: { ...of.attributes, id } };
}
