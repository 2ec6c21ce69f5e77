// Before a walk: which unit, and by when it would be over if it were begun now.

import { orderText, timeSayings, unitLines } from '../../content/front-content.ts';
import { el, type Tree } from '../tree.ts';
import type { App, InHand } from './app.ts';
import { byId, setText } from './dom.ts';
import { button, form, submit, textField, typedValue } from './fields.ts';
import { nowMs, timeOfDay } from './phone-clock.ts';
import type { Screen } from './screen.ts';

export function chooseUnitScreen(app: App): Screen {
  const { words, data } = app;
  const { pocket } = words;
  const title = el('h2', { tabindex: -1 }, pocket.begin.title);
  if (data.view.byHand) return { key: 'unit', content: [title, ...serialForm(app)] };
  const units = unitLines(data.view, words).map((line): Tree => {
    const kept = app.state.units[line.row];
    const state =
      kept?.made != null
        ? pocket.begin.done(kept.made.outcome)
        : kept?.walk != null
          ? pocket.begin.under
          : '';
    return el(
      'li',
      {},
      button('other', pocket.unit(line.row, line.serial), () => app.takeUnit(line.row, line.serial)),
      el('p', {}, `${line.site}. ${words.units.last}: ${line.last.join(', ')}. ${line.details}`),
      ...(state === '' ? [] : [el('p', { class: 'strong' }, state)]),
    );
  });
  const said = orderText(data.view, words);
  const order = said === null ? [] : [el('p', {}, said)];
  return { key: 'unit', content: [title, ...order, el('ol', { class: 'unit-choice' }, ...units)] };
}

function serialForm(app: App): Tree[] {
  const { begin } = app.words.pocket;
  return [
    form(
      (values) => {
        const read = app.readSerial(typedValue(values, 'serial'));
        if ('serial' in read) return app.takeUnit(1, read.serial);
        setText(byId('serial-fault'), read.fault === 'form' ? begin.serialForm : begin.serialCheck);
        byId('serial').focus();
      },
      textField({ id: 'serial', label: begin.serial, capitals: true, most: 64 }),
      el('p', { id: 'serial-fault', class: 'alert', role: 'alert' }),
      submit(begin.take),
    ),
  ];
}

/** Whether what is done once for the site is part of this walk. */
function siteTrees(app: App): Tree[] {
  const { begin } = app.words.pocket;
  const today = app.siteToday();
  if (!today.isShared || app.data.view.units.length < 2) return [];
  if (today.endedWith !== null) {
    return [el('p', { class: 'warning' }, `${today.endedWith}: ${app.words.steps.endsSite}`)];
  }
  const { first, last } = app.turnNow();
  return [
    el('p', {}, first ? begin.siteFirst : begin.siteOpened(today.openedWith ?? '')),
    el('p', { class: 'strong' }, last ? begin.siteLast : begin.siteMore),
    button('other', last ? begin.toMore : begin.toLast, () => app.changeUnit({ moreUnits: last })),
  ];
}

export function beginScreen(app: App, { unit }: InHand): Screen {
  const { words, data } = app;
  const { begin, keepOpen } = words.pocket;
  const { time } = data.view;
  const overBy = (atMs: number) =>
    time.longestSeconds === null
      ? words.time.unknown
      : begin.overBy(timeOfDay(atMs + time.longestSeconds * 1000));
  const ifWell = (atMs: number) =>
    time.shortestSeconds === null ? '' : begin.ifWell(timeOfDay(atMs + time.shortestSeconds * 1000));
  const hours = time.dayEnds === null ? [] : timeSayings(data.view, words).filter(({ isHour }) => isHour);
  const begun = nowMs();
  return {
    key: `begin ${unit.row}`,
    content: [
      el('h2', { tabindex: -1 }, begin.ready),
      el('p', { class: 'strong' }, words.pocket.unit(unit.row, unit.serial)),
      ...(app.damaged ? [el('p', { class: 'warning' }, words.pocket.reload.damaged)] : []),
      el('p', { id: 'over-by' }, overBy(begun)),
      el('p', { id: 'if-well' }, ifWell(begun)),
      ...hours.map(({ text }) => el('p', { class: 'warning' }, text)),
      el('p', {}, words.time.late),
      el('p', {}, keepOpen),
      ...(app.store.keeps ? [] : [el('p', { class: 'warning' }, words.pocket.noStore)]),
      ...siteTrees(app),
      ...(app.siteToday().endedWith === null ? [button('main', begin.begin, () => app.beginWalk())] : []),
      button('other', begin.other, () => app.change({ row: null })),
    ],
    tick(atMs) {
      setText(document.getElementById('over-by'), overBy(atMs));
      setText(document.getElementById('if-well'), ifWell(atMs));
    },
  };
}
