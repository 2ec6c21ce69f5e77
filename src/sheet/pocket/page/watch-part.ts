// A watch: its time, counted from when the step was reached and never begun anew, and the patterns to choose from. The
// choice goes by what is seen; what it means stands beside it. A choice is confirmed, since a wrong one leads astray.

import type { Asked } from '../../../procedure/walk/walk-question.ts';
import { showsSentence } from '../../content/light-content.ts';
import { meaningText } from '../../walk/question-text.ts';
import { showsTree, slowedBy } from '../light-tree.ts';
import { el, type Tree, withHandlers } from '../tree.ts';
import type { App } from './app.ts';
import { countPart } from './count-part.ts';
import { byId, setText } from './dom.ts';
import { button, form, submit, typedValue } from './fields.ts';
import { stopPlaying, wantsStillness } from './light-player.ts';
import { countdown, exactTime, nowMs } from './phone-clock.ts';
import { playButton } from './play-button.ts';
import type { Asking, LivePart } from './question-screen.ts';

const unlisted = ' unlisted';

export function watchPart(
  app: App,
  { walk, kept, texts }: Asking,
  asked: Extract<Asked, { kind: 'watch' }>,
): LivePart {
  const { words, data } = app;
  const { pocket } = words;
  const { overMs } = asked;
  const isOver = (atMs: number) => atMs > overMs;
  const text = (atMs: number) => countdown(overMs - atMs);
  const begun = nowMs();
  const count = countPart(app);
  const last = kept.walk?.stretches.at(-1)?.events.at(-1);
  const seen =
    last?.kind === 'lights' && walk.arrivedMs < last.atMs
      ? asked.patterns.find(({ pattern }) => pattern.id === last.pattern)?.pattern
      : undefined;

  const choices = asked.patterns.map(({ pattern, keeps }, i): Tree => {
    const slower = slowedBy(pattern.shows, data.view.lights);
    const play = playButton(app, pattern);
    const id = `seen-${i}`;
    return withHandlers(
      el(
        'li',
        { class: 'pattern choice-card', 'data-pattern': pattern.id },
        el(
          'p',
          { class: 'choice' },
          el('input', {
            type: 'radio',
            name: 'seen',
            id,
            value: pattern.id,
            'aria-describedby': `${id}-means`,
          }),
          el('label', { for: id }, `${showsSentence(pattern.shows, data.view.lights, words)}.`),
        ),
        ...showsTree(pattern.shows, data.view.lights, words, { off: true, sweep: false }),
        el(
          'p',
          { id: `${id}-means` },
          el('span', { class: 'label' }, pocket.means),
          ` ${meaningText(texts, pattern, keeps)}.`,
        ),
        ...(play !== null && slower > 1.01
          ? [el('p', { class: 'slowed' }, pocket.lights.slowed(slower))]
          : []),
        play,
      ),
      { click: (event) => chooseCard(event as Event) },
    );
  });
  const other = el(
    'li',
    { class: 'choice-card' },
    el(
      'p',
      { class: 'choice' },
      el('input', { type: 'radio', name: 'seen', id: 'seen-other', value: unlisted }),
      el('label', { for: 'seen-other' }, words.steps.otherLights),
    ),
  );
  return {
    content: [
      el('p', { class: 'timer', id: 'timer', role: 'timer' }, text(begun)),
      el('p', { id: 'time-up', class: 'alert', role: 'alert', hidden: !isOver(begun) }, pocket.over),
      hiddenUnless(
        isOver(begun),
        button('main', pocket.overGo, () => app.answer({ kind: 'time-up' })),
      ),
      ...(seen === undefined
        ? []
        : [
            el(
              'p',
              { class: 'strong', role: 'status' },
              pocket.seenLast(`${seen.means}.`, exactTime(last?.atMs ?? begun)),
            ),
          ]),
      ...(wantsStillness() ? [el('p', { class: 'slowed' }, pocket.lights.still)] : []),
      form(
        (values) => {
          const value = typedValue(values, 'seen');
          if (value === '') return setText(byId('choose-first'), pocket.choose);
          app.answer(value === unlisted ? { kind: 'unlisted' } : { kind: 'lights', pattern: value });
        },
        el(
          'fieldset',
          { class: 'choices', id: 'field-seen' },
          el('legend', {}, pocket.seenWhat),
          el('ul', { class: 'patterns' }, ...choices, other),
        ),
        el('p', { id: 'choose-first', class: 'alert', role: 'alert' }),
        submit(pocket.confirmChoice),
      ),
      ...count.content,
    ],
    tick(atMs) {
      setText(document.getElementById('timer'), text(atMs));
      count.tick?.(atMs);
      if (!isOver(atMs)) return;
      document.getElementById('time-up')?.removeAttribute('hidden');
      document.getElementById('time-up-go')?.removeAttribute('hidden');
      // What is seen from now on comes too late.
      for (const input of document.querySelectorAll('#field-seen')) input.setAttribute('disabled', '');
    },
    left: stopPlaying,
  };
}

function hiddenUnless(shown: boolean, tree: Exclude<Tree, string>): Tree {
  return { ...tree, attributes: { ...tree.attributes, id: 'time-up-go', hidden: !shown } };
}

/** Anywhere on the card but on its button: gloves do not hit a small circle. */
function chooseCard(event: Event): void {
  const target = event.target as Element;
  if (target.closest('button, label, input') !== null) return;
  const input = target.closest('.choice-card')?.querySelector<HTMLInputElement>('input[type=radio]');
  if (input?.disabled === false && !input.closest('fieldset')?.disabled) input.click();
}
