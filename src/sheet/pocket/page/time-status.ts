// One line above every place of the page while a time runs: so that nobody who reads the list misses its end. When it
// is over the phone sounds, shakes and says so, once.

import type { App } from './app.ts';
import { byId, setText } from './dom.ts';
import { countdown, nowMs } from './phone-clock.ts';

interface Running {
  readonly untilMs: number;
  readonly step: string;
}

const warnings = [60_000, 10_000] as const;

export class TimeStatus {
  readonly #app: App;
  readonly #told = new Set<string>();

  constructor(app: App) {
    this.#app = app;
  }

  #running(): Running | undefined {
    const { question, texts } = this.#app.inHand() ?? {};
    const { asked } = question ?? {};
    if (asked?.kind !== 'wait' && asked?.kind !== 'watch') return undefined;
    const number = texts?.numbers.get(question?.step?.id ?? '');
    const step = number === undefined ? '' : this.#app.words.steps.step(number);
    return { untilMs: asked.overMs, step };
  }

  /** What is over already when the page shows it need not sound. */
  skipPast(): void {
    const running = this.#running();
    if (running === undefined) return;
    for (const before of [...warnings, 0]) {
      if (nowMs() >= running.untilMs - before) this.#told.add(`${running.untilMs} ${before}`);
    }
  }

  tick(atMs: number): void {
    const line = byId('status');
    const running = this.#running();
    line.hidden = running === undefined;
    if (running === undefined) return;
    const { pocket } = this.#app.words;
    const leftMs = running.untilMs - atMs;
    const says = leftMs > 0 ? pocket.timeNow(running.step, countdown(leftMs)) : pocket.timeOver(running.step);
    setText(line, says);
    for (const before of [...warnings, 0]) {
      const key = `${running.untilMs} ${before}`;
      if (leftMs > before || this.#told.has(key)) continue;
      // Several at once, as after sleep: the last one says it all.
      for (const earlier of [...warnings, 0]) {
        if (earlier >= before) this.#told.add(`${running.untilMs} ${earlier}`);
      }
      setText(byId('heard'), says);
      if (before === 0) this.#app.sounds.alarm();
      else this.#app.sounds.call();
    }
  }
}
