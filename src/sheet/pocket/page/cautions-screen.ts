// The cautions, before anything else: each is ticked when it was read aloud, and nothing goes on before all are. The
// numbers to ring are typed here, where there is still time.

import { cautionGroups } from '../../content/front-content.ts';
import { el, type Tree, withHandlers } from '../tree.ts';
import type { App } from './app.ts';
import { byId, setText } from './dom.ts';
import { button, textField } from './fields.ts';
import type { Screen } from './screen.ts';

/** `read`: all were acknowledged. */
export function cautionsScreen(app: App, key: string, read: () => void): Screen {
  const { words, data } = app;
  const { pocket } = words;
  const groups = cautionGroups(data.view, words);
  const count = groups.reduce((sum, { items }) => sum + items.length, 0);
  const ticked = () => app.state.ticked.length;
  const tick = (number: number, on: boolean) => {
    const others = app.state.ticked.filter((one) => one !== number);
    app.keep({ ticked: on ? [...others, number] : others });
    setText(byId('cautions-read'), pocket.cautions.read(ticked(), count));
    setText(byId('cautions-missing'), '');
  };
  const acknowledge = () => {
    if (ticked() >= count) return read();
    const first = document.querySelector<HTMLInputElement>('#screen .caution input:not(:checked)');
    setText(byId('cautions-missing'), pocket.cautions.missing(count - ticked()));
    first?.focus();
    first?.closest('.caution')?.scrollIntoView({ block: 'center' });
  };
  const caution = ({ number, title, text }: { number: number; title: string; text: string }): Tree =>
    el(
      'li',
      { class: 'caution', value: number },
      withHandlers(
        el('input', {
          type: 'checkbox',
          id: `caution-${number}`,
          checked: app.state.ticked.includes(number),
        }),
        { change: (event) => tick(number, ((event as Event).target as HTMLInputElement).checked) },
      ),
      el(
        'label',
        { for: `caution-${number}` },
        ...(title === '' ? [] : [el('strong', {}, title), ' ']),
        text,
      ),
    );
  return {
    key,
    content: [
      el('h2', { tabindex: -1 }, words.sections.cautions),
      el('p', {}, words.cautions.readAloud),
      el('p', {}, pocket.cautions.tickEach),
      ...groups.flatMap(({ intro, items }) => [
        ...(intro === null ? [] : [el('h3', {}, intro)]),
        el('ol', { class: 'cautions ticks' }, ...items.map(caution)),
      ]),
      textField({
        id: 'emergency',
        label: pocket.cautions.emergency,
        type: 'tel',
        value: app.state.emergency,
        most: 40,
        typed: (emergency) => app.keep({ emergency }),
      }),
      textField({
        id: 'second-person',
        label: pocket.cautions.secondPerson,
        value: app.state.secondPerson,
        most: 80,
        typed: (secondPerson) => app.keep({ secondPerson }),
      }),
      el('p', { id: 'cautions-read', role: 'status' }, pocket.cautions.read(ticked(), count)),
      el('p', { id: 'cautions-missing', class: 'alert', role: 'alert' }),
      button('main', pocket.cautions.acknowledge, acknowledge),
    ],
  };
}
