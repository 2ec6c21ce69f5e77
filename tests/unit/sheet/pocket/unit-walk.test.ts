// A walk as the phone keeps it: rebuilt from its events, refused answers not kept, taken up anew after it broke off,
// and answers taken back only where no time hangs on them.

import { describe, expect, test } from 'vitest';
import type { WalkEvent } from '../../../../src/procedure/walk/walk-event.ts';
import { questionOf } from '../../../../src/procedure/walk/walk-question.ts';
import { pocketPlan } from '../../../../src/sheet/pocket/pocket-plan.ts';
import {
  mayTakeBack,
  newUnitWalk,
  type UnitWalk,
  walkNow,
  withAnswer,
  withLastTakenBack,
  withNewStretch,
} from '../../../../src/sheet/pocket/unit-walk.ts';
import { releaseOf } from '../sheet-fixture.ts';
import { dataOf, serial, words } from './pocket-fixture.ts';

const plan = pocketPlan(dataOf(), words, { row: 1, serial });
type Said = WalkEvent extends infer E ? (E extends WalkEvent ? Omit<E, 'atMs'> : never) : never;

class Story {
  kept: UnitWalk = newUnitWalk(0);
  atMs = 0;
  say(event: Said, afterMs = 1000): this {
    this.atMs += afterMs;
    this.kept = withAnswer(plan, this.kept, { ...event, atMs: this.atMs } as WalkEvent).kept;
    return this;
  }
  get asked() {
    return questionOf(plan, walkNow(plan, this.kept).walk);
  }
  /** As far as the first step of the procedure. */
  begun(): this {
    for (let i = 0; i < plan.cautions; i++) this.say({ kind: 'caution-read' });
    this.say({ kind: 'card', standing: { name: 'Card 7', now: 'not-read', record: 'ready', why: null } });
    this.say({ kind: 'plate', lastFour: serial.slice(-4), revision: 'B' });
    this.say({ kind: 'version-before', version: '4.0.0' });
    this.say({ kind: 'settings', values: ['3', '50 Hz'] });
    return this.say({ kind: 'starts', asSaid: true });
  }
  /** As far as the watch. */
  watching(): this {
    this.begun().say({ kind: 'done' });
    for (let turn = 0; turn < 60 && this.asked.asked.kind !== 'watch'; turn++) {
      const { asked } = this.asked;
      if (asked.kind === 'plate-time') this.say({ kind: 'plate-time', minutes: null });
      else if (asked.kind === 'wait') this.say({ kind: 'done' }, 3_600_000);
      else if (asked.kind !== 'measure') this.say({ kind: 'done' });
      else if (asked.stage === 'reading') this.say({ kind: 'reading', text: '0,5' });
      else if (asked.stage === 'review') this.say({ kind: 'readings', taken: true });
      else this.say({ kind: 'meter', good: true });
    }
    return this;
  }
}

test('it is the same walk after it was written as JSON and read again', () => {
  const story = new Story().watching();
  const again = JSON.parse(JSON.stringify(story.kept)) as UnitWalk;
  expect(walkNow(plan, again)).toEqual(walkNow(plan, story.kept));
  expect(story.asked.asked.kind).toBe('watch');
});

test('an answer of a wrong form is not kept; one that has to be given again is', () => {
  const story = new Story().begun();
  const { events } = story.kept.stretches[0]!;
  const count = events.length;
  const { complaint, kept } = withAnswer(plan, new Story().kept, { kind: 'caution-read', atMs: 5 });
  expect(complaint).toBeNull();
  expect(kept.stretches[0]?.events).toHaveLength(1);
  const early = new Story();
  for (let i = 0; i < plan.cautions; i++) early.say({ kind: 'caution-read' });
  const standing = { name: '?', now: 'not-read', record: 'not-known', why: 'x' } as const;
  const refused = withAnswer(plan, early.kept, { kind: 'card', standing, atMs: 1e6 });
  expect(refused.complaint).toMatchObject({ code: 'card-not-ready', heard: true });
  early.say({ kind: 'card', standing: { ...standing, record: 'ready', why: null } });
  const form = withAnswer(plan, early.kept, { kind: 'plate', lastFour: '1', revision: 'B', atMs: 2e6 });
  expect(form.complaint).toMatchObject({ code: 'last-four-form' });
  expect(form.kept).toBe(early.kept);
  expect(count).toBeGreaterThan(plan.cautions);
});

describe('the watch', () => {
  test('its time runs from its arrival, whatever is looked at and however the page is opened again', () => {
    const story = new Story().watching();
    const { asked } = story.asked;
    if (asked.kind !== 'watch') throw new Error(asked.kind);
    const overMs = asked.overMs;
    story.say({ kind: 'lights', pattern: 'loading' }, 60_000);
    const resumed: UnitWalk = withNewStretch(story.kept, story.atMs + 120_000);
    story.kept = JSON.parse(JSON.stringify(resumed));
    expect(story.asked.resuming).toBe(true);
    expect(story.asked.asked.kind).toBe('caution');
    story.atMs += 120_000;
    for (let i = 0; i < plan.cautions; i++) story.say({ kind: 'caution-read' });
    story.say({ kind: 'plate', lastFour: serial.slice(-4), revision: 'B' });
    for (let turn = 0; turn < 40 && story.asked.asked.kind !== 'watch'; turn++) {
      const question = story.asked;
      if (question.asked.kind === 'position') {
        const now = walkNow(plan, story.kept).walk;
        const axis = plan.successors.graph.axes.findIndex(
          ({ name }) => name === (question.asked as { name: string }).name,
        );
        story.say({
          kind: 'position',
          state: plan.successors.graph.axes[axis]!.states[now.at.positions[axis]!]!,
        });
      } else if (question.asked.kind === 'measure') {
        const { stage } = question.asked;
        if (stage === 'reading') story.say({ kind: 'reading', text: '1' });
        else if (stage === 'review') story.say({ kind: 'readings', taken: true });
        else story.say({ kind: 'meter', good: true });
      } else throw new Error(question.asked.kind);
    }
    const again = story.asked.asked;
    expect(again.kind === 'watch' && again.overMs).toBe(overMs);
    expect(walkNow(plan, story.kept).done.map(({ step }) => step)).toContain('positions');
  });

  test('nothing that began or ended it, or that may have set it writing, is taken back', () => {
    const story = new Story().begun();
    expect(mayTakeBack(plan, story.kept)).toBe(true);
    const watching = new Story().watching();
    expect(watching.asked.asked.kind).toBe('watch');
    expect(mayTakeBack(plan, watching.kept)).toBe(false);
    watching.say({ kind: 'lights', pattern: 'taken' });
    expect(mayTakeBack(plan, watching.kept)).toBe(false);
    watching.say({ kind: 'done' });
    expect(mayTakeBack(plan, watching.kept)).toBe(true);
  });

  test('over every prefix of this walk: what is taken back never leaves less writing, and never changes a time', () => {
    const story = new Story().watching().say({ kind: 'lights', pattern: 'taken' });
    const { events } = story.kept.stretches[0]!;
    for (let count = 1; count <= events.length; count++) {
      const kept: UnitWalk = { stretches: [{ fromMs: 0, events: events.slice(0, count) }], takenBack: 0 };
      if (!mayTakeBack(plan, kept)) continue;
      const now = questionOf(plan, walkNow(plan, kept).walk);
      const back = withLastTakenBack(kept);
      const before = questionOf(plan, walkNow(plan, back).walk);
      expect(back.takenBack).toBe(1);
      if (now.mayBeWriting) expect(before.mayBeWriting).toBe(true);
      expect(['watch', 'plate-time']).not.toContain(now.asked.kind);
      expect(['watch', 'plate-time']).not.toContain(before.asked.kind);
    }
  });
});

test('events of another procedure are no walk', () => {
  const story = new Story().begun();
  const odd: UnitWalk = {
    stretches: [{ fromMs: 0, events: [{ kind: 'told', name: 'x', atMs: 5 }] }],
    takenBack: 0,
  };
  expect(() => walkNow(plan, odd)).toThrow(RangeError);
  expect(() => walkNow(plan, story.kept)).not.toThrow();
});

test('which version may come before is judged by the sheet’s own release', () => {
  expect(plan.judgeVersion('4.2.0', 'B')).toEqual({ kind: 'same' });
  expect(plan.judgeVersion('4.2', 'B')).toEqual({ kind: 'same' });
  expect(plan.judgeVersion('3.8.0', 'B')).toEqual({ kind: 'next' });
  expect(plan.judgeVersion('3.7.9', 'B')).toMatchObject({
    kind: 'not-next',
    why: expect.stringContaining('3.8.0'),
  });
  expect(plan.judgeVersion('5.0', 'B').kind).toBe('not-next');
  const listed = dataOf({ release: releaseOf({ from: ['4.0.0', '4.1.0'] }) });
  const other = pocketPlan(listed, words, { row: 1, serial });
  expect(other.judgeVersion('4.1', 'B').kind).toBe('next');
  expect(other.judgeVersion('4.0.1', 'B')).toMatchObject({ why: expect.stringContaining('4.0.0 or 4.1.0') });
});
