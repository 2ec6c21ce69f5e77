// The pocket page comes to life: reads what the page carries and what the phone kept, and shows one screen after
// another. Nothing is fetched and nothing is sent.

import type { SheetLanguage } from '../../language.ts';
import type { PocketData } from '../pocket-data.ts';
import { pocketWords } from '../pocket-words.ts';
import { App } from './app.ts';
import { beginScreen, chooseUnitScreen } from './begin-screen.ts';
import { cautionsScreen } from './cautions-screen.ts';
import { applyLook, controlTrees, placeTrees } from './controls.ts';
import { byId, focusHeading, putBack, replaceContent, setText, typedTexts } from './dom.ts';
import { endedScreen } from './ended-screen.ts';
import { lightsScreen } from './lights-screen.ts';
import { helpOlderPhones } from './older-phones.ts';
import { openPageStore } from './page-store.ts';
import { nowMs } from './phone-clock.ts';
import { firstState } from './pocket-state.ts';
import { brokenOffScreen, questionScreen } from './question-screen.ts';
import { reloadScreen } from './reload-screen.ts';
import { resultScreen } from './result-screen.ts';
import type { Screen } from './screen.ts';
import { phoneSounds } from './sounds.ts';
import { markSteps } from './step-marks.ts';
import { TimeStatus } from './time-status.ts';
import { troubleScreen } from './trouble-screen.ts';
import { forgetScreenLock, keepScreenOn } from './wake-lock.ts';

const tickMs = 200;
const aliveEveryMs = 10_000;
const secondTapMs = 350;

/** `language`: the one that the page is in; the build makes a script for each. */
export function startPage(language: SheetLanguage): void {
  helpOlderPhones();
  const data = JSON.parse(byId('data').textContent ?? '') as PocketData;
  const words = pocketWords(language);
  const store = openPageStore(data.outcomes.sheet);
  const dark = window.matchMedia('(prefers-color-scheme: dark)').matches;
  const kept = store.read();
  const openedAfterMs = kept?.aliveMs ?? 0;
  const app = new App(data, words, store, kept ?? firstState(dark ? 'dark' : 'sun'), phoneSounds, show);
  const status = new TimeStatus(app);
  let screen: Screen | undefined;
  let newSinceMs = 0;

  const walk = app.inHand()?.now?.walk;
  app.mustAskReload = walk?.begun === true && !['ended', 'broken-off'].includes(walk.phase.kind);
  status.skipPast();

  function walkScreen(): Screen {
    const inHand = app.inHand();
    if (inHand?.now !== undefined && inHand.question !== undefined) {
      const { phase } = inHand.now.walk;
      if (app.mustAskReload) return reloadScreen(app, inHand, openedAfterMs);
      if (phase.kind === 'broken-off') return brokenOffScreen(app, inHand);
      if (phase.kind === 'ended') return endedScreen(app, inHand);
      if (phase.kind === 'cautions') {
        return cautionsScreen(app, `cautions ${inHand.unit.row}`, () => app.acknowledgeAll());
      }
      return questionScreen(app, { ...inHand, walk: inHand.now.walk, question: inHand.question });
    }
    if (!app.state.cautionsRead) {
      return cautionsScreen(app, 'cautions', () => app.change({ cautionsRead: true, opened: true }));
    }
    return inHand === undefined ? chooseUnitScreen(app) : beginScreen(app, inHand);
  }

  function screenNow(): Screen {
    if (!app.state.opened) return walkScreen();
    switch (app.state.place) {
      case 'walk':
        return walkScreen();
      case 'list':
        return { key: 'list', content: [] };
      case 'lights':
        return lightsScreen(app);
      case 'trouble':
        return troubleScreen(app);
      case 'result':
        return resultScreen(app);
    }
  }

  function show(): void {
    const next = screenNow();
    const isSame = screen?.key === next.key;
    const focused = document.activeElement?.id ?? '';
    const typed = isSame ? typedTexts(byId('screen')) : [];
    screen?.left?.();
    screen = next;
    applyLook(app);
    replaceContent(byId('controls'), controlTrees(app));
    replaceContent(byId('places'), placeTrees(app));
    byId('places').hidden = !app.state.opened;
    const { row } = app.state;
    const unit = row === null ? undefined : app.state.units[row];
    byId('unit').hidden = unit === undefined;
    setText(byId('unit'), unit === undefined || row === null ? '' : words.pocket.unit(row, unit.serial));
    replaceContent(byId('screen'), next.content);
    putBack(typed);
    next.mounted?.();
    markSteps(app);
    tick();
    keepScreenOn(app.inHand()?.now?.walk.begun === true);
    if (!isSame) {
      newSinceMs = nowMs();
      lead(next);
      return;
    }
    // The same question again: to what was wrong with the answer, or back to where the reader was.
    const complaint = document.getElementById('complaint');
    if (complaint !== null && focused === '') complaint.scrollIntoView({ block: 'center' });
    else document.getElementById(focused)?.focus();
  }

  /** To the beginning of what is now shown; in the list of all steps, to the step in hand. */
  function lead(next: Screen): void {
    if (next.key === 'list') {
      const here = document.querySelector<HTMLElement>('.step.here');
      focusHeading(byId('paper'));
      here?.scrollIntoView({ block: 'start' });
      return;
    }
    focusHeading(next.key === 'lights' ? byId('lights') : byId('screen'));
  }

  function tick(): void {
    const atMs = nowMs();
    screen?.tick?.(atMs);
    status.tick(atMs);
    if (app.state.opened && atMs - app.state.aliveMs > aliveEveryMs && !app.mustAskReload) app.keep({});
  }

  document.documentElement.classList.add('live');
  byId('still').hidden = true;
  byId('controls').hidden = false;
  for (const kind of ['pointerdown', 'keydown']) {
    document.addEventListener(kind, () => app.sounds.wake(), { passive: true });
  }
  // A second tap of the same finger is no answer to the question that has just come up under it.
  for (const kind of ['click', 'submit']) {
    byId('screen').addEventListener(
      kind,
      (event) => {
        if (nowMs() - newSinceMs >= secondTapMs) return;
        event.preventDefault();
        event.stopPropagation();
      },
      { capture: true },
    );
  }
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') {
      if (app.state.opened && !app.mustAskReload) app.keep({});
      forgetScreenLock();
      return;
    }
    tick();
    keepScreenOn(app.inHand()?.now?.walk.begun === true);
  });
  show();
  setInterval(tick, tickMs);
}
