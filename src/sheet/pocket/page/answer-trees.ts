// How each question that has no time running in it is answered: large buttons for what is seen, fields for what is
// read. What was typed is judged by the walk alone.

import { deferralReasons, failureCauses, leftStates } from '../../../procedure/outcome-words.ts';
import type { Asked } from '../../../procedure/walk/walk-question.ts';
import { el, type Tree } from '../tree.ts';
import type { Answer, App } from './app.ts';
import { byId, setText } from './dom.ts';
import { button, type Choice, choiceField, form, submit, textField, twice, typedValue } from './fields.ts';
import type { Asking } from './question-screen.ts';

/** A stop is no question to stop at, and the end asks nothing. */
export function standsAlone({ kind }: Asked): boolean {
  return kind === 'stopped' || kind === 'nothing';
}

type Field = Parameters<typeof textField>[0];

/** Fields and one button that takes what was typed. */
function typed(app: App, fields: readonly Field[], make: (read: (id: string) => string) => Answer): Tree {
  return form(
    (values) => app.answer(make((id) => typedValue(values, id))),
    ...fields.map(textField),
    submit(app.words.pocket.typed),
  );
}

function chosen(app: App, label: string, choices: readonly Choice[], make: (value: string) => Answer): Tree {
  return form(
    (values) => {
      const value = typedValue(values, 'choice');
      if (value !== '') return app.answer(make(value));
      setText(byId('choose-first'), app.words.pocket.choose);
    },
    choiceField({ name: 'choice', label, choices, legendHeard: true }),
    el('p', { id: 'choose-first', class: 'alert', role: 'alert' }),
    submit(app.words.pocket.typed),
  );
}

export function answerTrees(app: App, { question, texts }: Asking): Tree[] {
  const { asked } = question;
  const { walk, pocket } = app.words;
  const { keys } = walk;
  const tap = (kind: 'main' | 'other' | 'danger', text: string, answer: Answer) =>
    button(kind, text, () => app.answer(answer));
  const listed = (values: readonly string[]): Choice[] =>
    values.map((value) => ({
      value,
      text: (walk.choices as Readonly<Record<string, string>>)[value] ?? value,
    }));
  switch (asked.kind) {
    case 'card':
      return cardTrees(app);
    case 'plate':
      return [
        typed(
          app,
          [
            { id: 'last-four', label: walk.lastFour, capitals: true, most: 12 },
            { id: 'revision', label: walk.revision, capitals: true, most: 20 },
          ],
          (read) => ({ kind: 'plate', lastFour: read('last-four'), revision: read('revision') }),
        ),
      ];
    case 'version-before':
      return [
        typed(app, [versionField(app)], (read) => ({ kind: 'version-before', version: read('version') })),
        tap('other', keys.noVersion, { kind: 'version-before-unreadable' }),
      ];
    case 'lead':
      return [
        form(
          (values) => app.answer({ kind: 'lead-says', goOn: true, name: typedValue(values, 'lead') }),
          textField({ id: 'lead', label: walk.leadName, most: 80 }),
          submit(keys.leadGo),
          button('other', keys.leadNot, () => {
            const name = (byId('lead') as HTMLInputElement).value;
            app.answer({ kind: 'lead-says', goOn: false, name });
          }),
        ),
      ];
    case 'settings':
      return [
        typed(
          app,
          asked.settings.map((label, i) => ({ id: `setting-${i}`, label })),
          (read) => ({ kind: 'settings', values: asked.settings.map((_, i) => read(`setting-${i}`)) }),
        ),
      ];
    case 'starts':
      return [
        tap('main', keys.yesAll, { kind: 'starts', asSaid: true }),
        tap('other', keys.otherwise, { kind: 'starts', asSaid: false }),
      ];
    case 'do':
      return [tap('main', keys.done, { kind: 'done' }), tap('other', keys.cannot, { kind: 'cannot' })];
    case 'plate-time':
      return [
        typed(app, [{ id: 'minutes', label: walk.plateMinutes, keys: 'decimal', most: 10 }], (read) => ({
          kind: 'plate-time',
          minutes: read('minutes'),
        })),
        tap('other', keys.noPlate, { kind: 'plate-time', minutes: null }),
      ];
    case 'measure':
      return measureTrees(app, asked);
    case 'read':
      return [
        typed(app, [versionField(app)], (read) => ({ kind: 'version', version: read('version') })),
        tap('other', keys.noVersion, { kind: 'unreadable' }),
      ];
    case 'sign':
      return [
        tap('main', keys.yes, { kind: 'sign', seen: true }),
        tap('other', keys.no, { kind: 'sign', seen: false }),
      ];
    case 'restore':
      return [
        tap('main', keys.restored, { kind: 'restored', restored: true }),
        tap('other', keys.notRestored, { kind: 'restored', restored: false }),
      ];
    case 'position': {
      const states = asked.states.map((value) => ({ value, text: value }));
      return [chosen(app, asked.name, states, (state) => ({ kind: 'position', state }))];
    }
    case 'left':
      return [
        chosen(app, walk.left, listed(leftStates), (left) => ({
          kind: 'left',
          left: left as (typeof leftStates)[number],
        })),
      ];
    case 'cause':
      return [chosen(app, walk.cause, listed(failureCauses), (cause) => ({ kind: 'cause', cause }))];
    case 'reason':
      return [chosen(app, walk.reason, listed(deferralReasons), (reason) => ({ kind: 'reason', reason }))];
    case 'case':
      return [
        typed(app, [{ id: 'case', label: walk.caseNumber, most: 80 }], (read) => ({
          kind: 'case',
          number: read('case'),
        })),
        tap('other', keys.noCase, { kind: 'case', number: null }),
      ];
    case 'told':
      return [
        typed(app, [{ id: 'told', label: walk.toldName, most: 80 }], (read) => ({
          kind: 'told',
          name: read('told'),
        })),
        tap('other', keys.nobody, { kind: 'told', name: null }),
      ];
    case 'stopped':
      return stoppedTrees(app, asked);
    case 'caution':
    case 'hold':
    case 'wait':
    case 'watch':
    case 'nothing':
      return [el('p', {}, texts.serial, ' ', pocket.result.ended)];
  }
}

/** Nothing near it says what it ought to be. */
function versionField(app: App): Field {
  return { id: 'version', label: app.words.walk.version, most: 64 };
}

function cardTrees(app: App): Tree[] {
  const { pocket, walk } = app.words;
  const card = (record: 'ready' | 'not-known', why: string | null) => {
    const name = (byId('card') as HTMLInputElement).value.trim() || '?';
    app.answer({ kind: 'card', standing: { name, now: 'not-read', record, why } });
  };
  return [
    form(
      () => card('ready', null),
      textField({ id: 'card', label: walk.cardName, most: 80 }),
      submit(pocket.cardReady),
      button('other', pocket.cardNot, () => card('not-known', pocket.cardWhy)),
    ),
  ];
}

function measureTrees(app: App, asked: Extract<Asked, { kind: 'measure' }>): Tree[] {
  const { keys, reading } = app.words.walk;
  const { measure } = asked.step;
  const tap = (kind: 'main' | 'other', text: string, answer: Answer) =>
    button(kind, text, () => app.answer(answer));
  switch (asked.stage) {
    case 'meter-before':
    case 'meter-after':
      return [
        tap('main', keys.good, { kind: 'meter', good: true }),
        tap('other', keys.bad, { kind: 'meter', good: false }),
      ];
    case 'reading': {
      const between = asked.pair ?? app.words.steps.reading;
      const count = Math.max(1, measure.between.length);
      const label = `${reading(asked.readings.length + 1, count, between)} (${measure.in})`;
      return [
        form(
          (values) => app.answer({ kind: 'reading', text: typedValue(values, 'reading') }),
          textField({ id: 'reading', label, keys: 'decimal', most: 20 }),
          // The figures of many phones have no minus beside them.
          button('other', app.words.pocket.minus, () => {
            const input = byId('reading') as HTMLInputElement;
            input.value = /^[-\u2212]/.test(input.value) ? input.value.slice(1) : `-${input.value}`;
            input.focus();
          }),
          submit(app.words.pocket.typed),
        ),
      ];
    }
    case 'review':
      return [
        tap('main', keys.take, { kind: 'readings', taken: true }),
        tap('other', keys.again, { kind: 'readings', taken: false }),
      ];
  }
}

function stoppedTrees(app: App, asked: Extract<Asked, { kind: 'stopped' }>): Tree[] {
  const { keys } = app.words.walk;
  const { helpline } = app.data.view;
  const { sure } = app.words.pocket;
  const lookAgain = asked.why !== 'asked' && asked.why !== 'cannot';
  const goOn = lookAgain ? keys.lookAgain : keys.backToWalk;
  return [
    ...ringTrees(app, helpline?.phone ?? null),
    ...(asked.mayGoOn ? [button('main', goOn, () => app.answer({ kind: 'go-on' }))] : []),
    button('other', keys.breakOff, () => app.answer({ kind: 'break-off' })),
    ...asked.outcomes.map((outcome) => {
      const text = outcome === 'failed' ? keys.endFailed : keys.endDeferred;
      return twice('danger', text, sure(text), () => app.answer({ kind: 'end-here', outcome }));
    }),
  ];
}

/** A number that the phone can ring; it does so only when it is tapped. */
export function ringTrees(app: App, phone: string | null): Tree[] {
  const digits = phone?.replace(/[^0-9+]/g, '') ?? '';
  if (phone === null || digits.length < 3) return [];
  return [el('p', {}, el('a', { class: 'ring', href: `tel:${digits}` }, app.words.pocket.ring(phone)))];
}
