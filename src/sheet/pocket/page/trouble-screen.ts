// What is needed at once when something goes wrong: stopping the walk, and whom to ring. The sheet's own words on
// failure follow below it on the page.

import { el } from '../tree.ts';
import { ringTrees } from './answer-trees.ts';
import type { App } from './app.ts';
import { button } from './fields.ts';
import type { Screen } from './screen.ts';

export function troubleScreen(app: App): Screen {
  const { words, state, data } = app;
  const question = app.inHand()?.question;
  const canStop = question !== undefined && !['stopped', 'nothing'].includes(question.asked.kind);
  const stop = () => {
    app.keep({ place: 'walk' });
    app.answer({ kind: 'stop' });
  };
  const { pocket, failure, lights } = words;
  return {
    key: 'trouble',
    content: [
      el('h2', { tabindex: -1 }, pocket.places.trouble),
      el('p', { class: 'strong' }, failure.people),
      ...(question?.mayBeWriting === true ? [el('p', { class: 'warning' }, lights.busy)] : []),
      ...(state.emergency === ''
        ? []
        : [el('p', {}, pocket.cautions.emergencyIs), ...ringTrees(app, state.emergency)]),
      ...(state.secondPerson === ''
        ? []
        : [
            el('p', {}, pocket.cautions.secondPersonIs(state.secondPerson)),
            ...ringTrees(app, state.secondPerson),
          ]),
      ...ringTrees(app, data.view.helpline?.phone ?? null),
      ...(canStop ? [button('danger', pocket.stop, stop)] : []),
    ],
  };
}
