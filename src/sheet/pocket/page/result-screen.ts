// The result of one unit: a form, filled in by its walk as far as there was one. The version read is written beside
// nothing that it could be copied from.

import {
  deferralReasons,
  failureCauses,
  leftStates,
  outcomeKinds,
} from '../../../procedure/outcome-words.ts';
import { showsSentence } from '../../content/light-content.ts';
import {
  checkForm,
  emptyForm,
  type FaultyField,
  type FormField,
  formOfWalk,
  type OutcomeForm,
} from '../outcome-form.ts';
import { el, type Tree, withHandlers } from '../tree.ts';
import type { App, InHand } from './app.ts';
import { byId, replaceContent } from './dom.ts';
import { button, type Choice, choiceField, form, submit, textField } from './fields.ts';
import { madeScreen, makeResult } from './made-screen.ts';
import { fieldTime, nowMs, phoneZone } from './phone-clock.ts';
import type { Screen } from './screen.ts';

export function resultScreen(app: App): Screen {
  const inHand = app.inHand();
  const { pocket } = app.words;
  const title = el('h2', { tabindex: -1 }, pocket.result.title);
  const toWalk = button('main', pocket.places.walk, () => app.change({ place: 'walk' }));
  if (inHand === undefined) {
    return { key: 'result', content: [title, el('p', {}, pocket.result.unitFirst), toWalk] };
  }
  const { kept, now, unit } = inHand;
  if (kept.made !== null) return madeScreen(app, inHand, kept.made);
  const under = now?.walk.begun === true && now.walk.phase.kind !== 'ended';
  if (under) {
    const said = el(
      'p',
      { class: 'warning' },
      `${pocket.unit(unit.row, unit.serial)}: ${pocket.begin.under}.`,
    );
    return { key: `result under ${unit.row}`, content: [title, said, toWalk] };
  }
  return formScreen(app, inHand, title);
}

function firstForm(app: App, { now }: InHand): OutcomeForm {
  const ended = now?.walk.phase.kind === 'ended' ? now.walk : undefined;
  const form = ended === undefined ? emptyForm : formOfWalk(ended, app.words.walk.over.notRestored);
  return { ...form, by: app.state.by, at: fieldTime(nowMs()) };
}

function formScreen(app: App, inHand: InHand, title: Tree): Screen {
  const { words, data } = app;
  const { pocket, results, walk } = words;
  const { unit } = inHand;
  const values: { now: OutcomeForm } = { now: inHand.kept.form ?? firstForm(app, inHand) };
  const set = (changes: Partial<OutcomeForm>) => {
    values.now = { ...values.now, ...changes };
    app.keepUnit({ form: values.now });
  };
  const text = (id: Exclude<FormField, 'displayConfirmed'>, label: string, capitals = false) =>
    textField({
      id,
      label,
      value: values.now[id],
      capitals,
      most: id === 'note' ? 400 : 120,
      typed: (value) => set({ [id]: value, ...(id === 'versionRead' && { displayConfirmed: false }) }),
    });
  const choice = (
    name: 'outcome' | 'lights' | 'left' | 'reason' | 'cause',
    label: string,
    choices: readonly Choice[],
    optional: boolean,
  ) =>
    choiceField({
      name,
      label,
      choices: optional ? [...choices, { value: '', text: pocket.result.none }] : choices,
      chosen: values.now[name],
      picked: (value) => {
        set({ [name]: value });
        if (name === 'outcome') showFitting(value);
      },
    });
  const named = (list: readonly string[]): Choice[] =>
    list.map((value) => ({
      value,
      text: (walk.choices as Readonly<Record<string, string>>)[value] ?? value,
    }));
  const outcomes = outcomeKinds.map((value) => ({ value, text: walk.over[value].replace(/\.$/, '') }));
  const lights = data.view.patterns.map(({ id, shows }) => ({
    value: id,
    text: showsSentence(shows, data.view.lights, words),
  }));
  const make = () => {
    const faults = checkForm(values.now, data, phoneZone);
    if (faults.length > 0) return showFaults(app, faults);
    app.keep({ by: values.now.by });
    app.changeUnit({ made: makeResult(app, inHand, values.now), form: values.now });
  };
  return {
    key: `result ${unit.row}`,
    content: [
      title,
      el('p', { class: 'strong' }, pocket.unit(unit.row, unit.serial)),
      el('p', {}, pocket.result.intro),
      el('div', { id: 'faults', class: 'alert', role: 'alert', hidden: true }),
      form(
        make,
        choice('outcome', results.outcome, outcomes, false),
        text('versionRead', results.versionRead),
        confirmField(app, values.now, (displayConfirmed) => set({ displayConfirmed })),
        choice('lights', results.lights, lights, true),
        choice('left', results.left, named(leftStates), true),
        choice('reason', results.reason, named(deferralReasons), false),
        choice('cause', results.cause, named(failureCauses), true),
        text('versionBefore', results.versionBefore),
        text('revision', walk.revision, true),
        text('card', results.card),
        text('case', results.caseNumber),
        text('told', results.told),
        text('by', results.by),
        textField({
          id: 'at',
          label: results.time,
          type: 'datetime-local',
          value: values.now.at,
          typed: (at) => set({ at }),
        }),
        noteField(values.now.note, results.note, (note) => set({ note })),
        submit(pocket.result.make),
      ),
    ],
    mounted: () => showFitting(values.now.outcome),
  };
}

/** A reason goes with a deferral, a cause with a failure; the others are not asked. */
function showFitting(outcome: string): void {
  byId('field-reason').hidden = outcome !== 'deferred';
  byId('field-cause').hidden = outcome !== 'failed';
}

/** Asked for only once the form says that the version is not the release's: before, it would give that away. */
function confirmField(app: App, { displayConfirmed }: OutcomeForm, picked: (on: boolean) => void): Tree {
  return el(
    'p',
    { class: 'choice', id: 'field-displayConfirmed', hidden: true },
    withHandlers(el('input', { type: 'checkbox', id: 'displayConfirmed', checked: displayConfirmed }), {
      change: (event) => picked(((event as Event).target as HTMLInputElement).checked),
    }),
    el('label', { for: 'displayConfirmed' }, app.words.pocket.result.confirmed),
  );
}

function noteField(value: string, label: string, typed: (value: string) => void): Tree {
  return el(
    'p',
    { class: 'field' },
    el('label', { for: 'note' }, label),
    withHandlers(el('textarea', { id: 'note', rows: 3, maxlength: 400, value }), {
      input: (event) => typed(((event as Event).target as HTMLTextAreaElement).value),
    }),
  );
}

const fieldOf = (field: FormField): HTMLElement | null =>
  document.getElementById(`field-${field}`)?.querySelector('input') ?? document.getElementById(field);

function showFaults(app: App, faults: readonly FaultyField[]): void {
  const { result } = app.words.pocket;
  const { results } = app.words;
  const labels: Partial<Record<FormField, string>> = {
    outcome: results.outcome,
    versionBefore: results.versionBefore,
    versionRead: results.versionRead,
    displayConfirmed: results.versionRead,
    left: results.left,
    reason: results.reason,
    by: results.by,
    at: results.time,
    note: results.note,
  };
  for (const input of document.querySelectorAll('#screen [aria-invalid]'))
    input.removeAttribute('aria-invalid');
  for (const { field } of faults) fieldOf(field)?.setAttribute('aria-invalid', 'true');
  if (faults.some(({ fault }) => fault === 'display-not-confirmed'))
    byId('field-displayConfirmed').hidden = false;
  const box = byId('faults');
  box.hidden = false;
  const items = faults.map(({ field, fault }) =>
    el(
      'li',
      {},
      withHandlers(el('a', { href: `#${field}` }, `${labels[field] ?? field}: ${result.fault[fault]}`), {
        click: (event) => {
          (event as Event).preventDefault();
          fieldOf(field)?.focus();
        },
      }),
    ),
  );
  replaceContent(box, [el('p', {}, result.faults), el('ul', {}, ...items)]);
  box.scrollIntoView({ block: 'start' });
  box.querySelector('a')?.focus();
}
