// In the list of all steps: which are done, and which one the walk stands at.

import type { App } from './app.ts';
import { setText } from './dom.ts';
import { timeOfDay } from './phone-clock.ts';

export function markSteps(app: App): void {
  const { view } = app.data;
  const inHand = app.inHand();
  const done = new Map(inHand?.now?.done.map(({ step, atMs }) => [step, atMs]));
  const here = inHand?.question?.step?.id;
  for (const { id, number } of view.steps) {
    const item = document.getElementById(`step-${number}`);
    if (item === null) continue;
    const doneMs = id === null ? undefined : done.get(id);
    const isHere = id !== null && id === here;
    item.classList.toggle('here', isHere);
    item.classList.toggle('done', doneMs !== undefined && !isHere);
    if (isHere) item.setAttribute('aria-current', 'step');
    else item.removeAttribute('aria-current');
    const text = isHere
      ? app.words.pocket.here
      : doneMs === undefined
        ? ''
        : app.words.pocket.doneAt(timeOfDay(doneMs));
    setText(item.querySelector('.state'), text === '' ? '' : ` ${text}`);
  }
}
