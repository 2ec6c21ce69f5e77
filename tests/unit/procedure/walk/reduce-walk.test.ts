// The walk of the pump drive, event by event: what is taken, what is refused, where each answer leads.

import { describe, expect, test } from 'vitest';
import { mayBeWriting } from '../../../../src/procedure/walk/may-be-writing.ts';
import { resultOf } from '../../../../src/procedure/walk/move-walk.ts';
import { reduceWalk } from '../../../../src/procedure/walk/reduce-walk.ts';
import { resumeWalk } from '../../../../src/procedure/walk/resume-walk.ts';
import type { CardStanding, Walk } from '../../../../src/procedure/walk/walk.ts';
import { questionOf } from '../../../../src/procedure/walk/walk-question.ts';
import { pumpSteps, writtenProduct } from '../written-product.ts';
import { doneList, frameBefore, fresh, planOf, readyCard, type Said, say, startMs } from './walk-fixture.ts';

const pump = writtenProduct({ procedure: pumpSteps() });
const plan = planOf(pump);
const begun = say(plan, fresh(plan), ...frameBefore);
const asked = (walk: Walk, of = plan) => questionOf(of, walk).asked;

const dead: Said[] = [
  { kind: 'meter', good: true },
  { kind: 'reading', text: '0,4' },
  { kind: 'reading', text: '-1.2' },
  { kind: 'reading', text: '0' },
  { kind: 'meter', good: true },
  { kind: 'readings', taken: true },
];
const discharged: Said[] = [
  { kind: 'done' },
  { kind: 'plate-time', minutes: null },
  { kind: 'done', at: 600 },
];
const untilStart: Said[] = [...discharged, ...dead, { kind: 'done' }, { kind: 'done' }, { kind: 'done' }];
const untilLook: Said[] = [...untilStart, { kind: 'done' }];
const signs: Said[] = [1, 2, 3].map(() => ({ kind: 'sign', seen: true }));

describe('the frame before', () => {
  test('goes caution by caution, then card, plate, version, starting positions', () => {
    expect(doneList(begun)).toEqual([
      'before/cautions:read',
      'before/card:ready-now',
      'before/plate:this-unit',
      'before/version-before:next',
      'before/starts:as-said',
    ]);
    expect(asked(begun)).toMatchObject({ kind: 'do', step: { id: 'stop' } });
    expect(begun.notes).toMatchObject({ card: 'C-1', revision: 'A', versionBefore: '4.0.0' });
  });

  test.each<[string, Partial<CardStanding>, boolean]>([
    ['ready now', { now: 'ready', record: 'not-known' }, true],
    ['ready now, though used', { now: 'ready', record: 'used' }, true],
    ['not read here, ready on record', { now: 'not-read', record: 'ready' }, true],
    ['not read here, used since', { now: 'not-read', record: 'used' }, false],
    ['not read here, not known', { now: 'not-read', record: 'not-known' }, false],
    ['not read here, refused on record', { now: 'not-read', record: 'not-ready' }, false],
    ['not ready now, whatever the record says', { now: 'not-ready', record: 'ready' }, false],
  ])('a card %s', (_name, changes, taken) => {
    const walk = say(plan, fresh(plan), ...frameBefore.slice(0, 2), {
      kind: 'card',
      standing: { ...readyCard, ...changes },
    });
    expect(walk.phase.kind).toBe(taken ? 'plate' : 'card');
    expect(walk.complaint?.code).toBe(taken ? undefined : 'card-not-ready');
  });

  const atPlate = say(plan, fresh(plan), ...frameBefore.slice(0, 3));

  test('another plate is not this unit; what it should be is not told', () => {
    const walk = say(plan, atPlate, { kind: 'plate', lastFour: '5687', revision: 'A' });
    expect(walk.complaint).toMatchObject({ code: 'last-four-differs', seen: '5687' });
    expect(JSON.stringify(walk.complaint)).not.toContain('5678');
    expect(say(plan, walk, { kind: 'plate', lastFour: ' 5678 ', revision: 'a' }).phase.kind).toBe(
      'version-before',
    );
  });

  test('fewer or more characters than four are no answer', () => {
    for (const lastFour of ['678', '45678', '']) {
      const walk = say(plan, atPlate, { kind: 'plate', lastFour, revision: 'A' });
      expect(walk.complaint?.code).toBe('last-four-form');
      expect(walk.atMs).toBe(atPlate.atMs);
    }
  });

  test('a revision that the product does not have is no answer', () => {
    expect(say(plan, atPlate, { kind: 'plate', lastFour: '5678', revision: 'Z' }).complaint?.code).toBe(
      'revision-unknown',
    );
  });

  test('another revision than the registered one, typed twice, ends it as deferred', () => {
    const two = planOf(writtenProduct({ procedure: pumpSteps(), hardware: ['A', 'B'] }));
    const at = say(two, fresh(two), ...frameBefore.slice(0, 3));
    const once = say(two, at, { kind: 'plate', lastFour: '5678', revision: 'B' });
    expect(once.complaint).toMatchObject({ code: 'revision-again', heard: true });
    expect(say(two, once, { kind: 'plate', lastFour: '5678', revision: 'A' }).phase.kind).toBe(
      'version-before',
    );
    const twice = say(two, once, { kind: 'plate', lastFour: '5678', revision: 'B' });
    expect(twice.phase.kind).toBe('ended');
    expect(twice.result).toMatchObject({ outcome: 'deferred', reason: 'wrong-hardware', by: 'before' });
  });

  test('a revision that is not registered must be one of the release', () => {
    const some = planOf(
      writtenProduct({ procedure: pumpSteps(), hardware: ['A', 'B'] }),
      { hardware: ['B'] },
      null,
    );
    const at = say(some, fresh(some), ...frameBefore.slice(0, 3));
    expect(say(some, at, { kind: 'plate', lastFour: '5678', revision: 'B' }).phase.kind).toBe(
      'version-before',
    );
    const wrong: Said = { kind: 'plate', lastFour: '5678', revision: 'A' };
    expect(say(some, at, wrong, wrong).result?.reason).toBe('wrong-hardware');
  });

  const atVersion = say(plan, fresh(plan), ...frameBefore.slice(0, 4));

  test('the version before decides', () => {
    const typed = (version: string) => ({ kind: 'version-before', version }) as const;
    const with_ = (version: string) => say(plan, atVersion, typed(version));
    expect(with_('4.2').result).toMatchObject({ outcome: 'already-current' });
    expect(with_('4.2').notes.versionRead).toBe('4.2');
    const [once, sure] = [with_('1.0.0'), say(plan, atVersion, { ...typed('1.0.0'), sure: true })];
    expect(once.complaint).toMatchObject({ code: 'version-before-again', heard: true, seen: '1.0.0' });
    expect([once.phase.kind, once.done.length]).toEqual(['version-before', atVersion.done.length]);
    for (const twice of [say(plan, once, typed('1.0')), sure])
      expect(twice.result).toMatchObject({ outcome: 'deferred', reason: 'other' });
    // A slip is mended by the second look, and is nowhere on record.
    const mended = say(plan, once, typed('4.0'));
    expect([mended.phase.kind, mended.notes.versionBefore]).toEqual(['starts', '4.0']);
    expect(JSON.stringify(mended.done)).not.toContain('1.0.0');
    // Two slips that differ are none of them taken.
    expect(say(plan, once, typed('1.1')).complaint?.seen).toBe('1.1');
    expect(with_('four').complaint?.code).toBe('version-form');
    expect(with_('four').phase.kind).toBe('version-before');
    expect(with_('4.0').phase.kind).toBe('starts');
  });

  test('without a version, the service lead says', () => {
    const lead = say(plan, atVersion, { kind: 'version-before-unreadable' });
    expect(lead.phase.kind).toBe('lead');
    expect(say(plan, lead, { kind: 'lead-says', goOn: true, name: ' ' }).complaint?.code).toBe('text-form');
    expect(say(plan, lead, { kind: 'lead-says', goOn: true, name: 'O. Fen' }).phase.kind).toBe('starts');
    expect(say(plan, lead, { kind: 'lead-says', goOn: false, name: 'O. Fen' }).result?.outcome).toBe(
      'deferred',
    );
  });

  test('settings are noted, each one', () => {
    const with_ = planOf(pump, { resets: ['bus address', 'speed limit'] });
    const at = say(with_, fresh(with_), ...frameBefore.slice(0, 5));
    expect(asked(at, with_)).toEqual({ kind: 'settings', settings: ['bus address', 'speed limit'] });
    expect(say(with_, at, { kind: 'settings', values: ['7'] }).complaint?.code).toBe('text-form');
    expect(say(with_, at, { kind: 'settings', values: ['7', ' '] }).complaint?.code).toBe('text-form');
    expect(say(with_, at, { kind: 'settings', values: ['7', '50 Hz'] }).notes.settings).toEqual([
      '7',
      '50 Hz',
    ]);
  });

  test('anything standing otherwise stops it before it begins', () => {
    const walk = say(plan, fresh(plan), ...frameBefore.slice(0, 5), { kind: 'starts', asSaid: false });
    expect(walk.phase).toMatchObject({ kind: 'stopped', why: 'starts-otherwise' });
    expect(asked(walk)).toMatchObject({
      stand: { untouched: true, order: null },
      outcomes: ['deferred', 'failed'],
    });
  });
});

describe('the steps', () => {
  test('a wait is over by the longer of sheet and plate, from its arrival', () => {
    const at = say(plan, begun, { kind: 'done', at: 100 });
    expect(asked(at)).toEqual({ kind: 'plate-time', waitSeconds: 420 });
    const sheets = say(plan, at, { kind: 'plate-time', minutes: '5' });
    expect(asked(sheets)).toMatchObject({ kind: 'wait', overMs: startMs + 520_000 });
    const plates = say(plan, at, { kind: 'plate-time', minutes: '10,5' });
    expect(asked(plates)).toMatchObject({ kind: 'wait', overMs: startMs + (100 + 630) * 1000 });
    const early = say(plan, plates, { kind: 'done', at: 729 });
    expect(early.complaint).toMatchObject({ code: 'too-early', fromMs: startMs + 730_000 });
    expect(early.phase).toEqual(plates.phase);
    expect(asked(say(plan, early, { kind: 'done', at: 730 }))).toMatchObject({ kind: 'measure' });
    for (const minutes of ['-1', 'ten', '1.000', '99999', '']) {
      expect(say(plan, at, { kind: 'plate-time', minutes }).complaint?.code, minutes).toBe('plate-time-form');
    }
  });

  const measuring = say(plan, begun, ...discharged);

  test('every reading within passes; comma, point and sign', () => {
    const walk = say(plan, measuring, ...dead);
    expect(walk.done.at(-1)).toMatchObject({
      result: 'passes',
      facts: { readings: [0.4, -1.2, 0], unit: 'V' },
    });
  });

  test.each([
    ['-50', 'passes'],
    ['50', 'passes'],
    ['50.1', 'does-not-pass'],
    ['-50,1', 'does-not-pass'],
    ['-412', 'does-not-pass'],
  ])('one reading of %s V %s', (text, result) => {
    const readings = dead.map((one, i) => (i === 2 ? ({ kind: 'reading', text } as Said) : one));
    const walk = say(plan, measuring, ...readings);
    expect(walk.done.at(-1)?.result).toBe(result);
    expect(asked(walk)).toMatchObject({ step: { id: result === 'passes' ? 'feed' : 'live' } });
  });

  test('a meter that does not show good makes the readings worth nothing', () => {
    const before = say(plan, measuring, { kind: 'meter', good: false });
    expect(before.complaint?.code).toBe('meter-bad');
    expect(asked(before)).toMatchObject({ stage: 'meter-before' });
    const after = say(plan, measuring, ...dead.slice(0, 4), { kind: 'meter', good: false });
    expect(after.complaint?.code).toBe('meter-bad');
    expect(asked(after)).toMatchObject({ stage: 'meter-before', readings: [] });
  });

  test('a reading that can mean two things is not taken, nor is none', () => {
    const at = say(plan, measuring, ...dead.slice(0, 1));
    expect(say(plan, at, { kind: 'reading', text: '1,234' }).complaint?.code).toBe('reading-ambiguous');
    expect(say(plan, at, { kind: 'reading', text: '4 V' }).complaint?.code).toBe('reading-form');
    expect(say(plan, at, { kind: 'reading', text: '1,234' }).phase).toEqual(at.phase);
  });

  test('readings are looked at once more before they count', () => {
    const review = say(plan, measuring, ...dead.slice(0, 5));
    expect(asked(review)).toMatchObject({ stage: 'review', readings: [0.4, -1.2, 0] });
    expect(asked(say(plan, review, { kind: 'readings', taken: false }))).toMatchObject({
      stage: 'meter-before',
      readings: [],
    });
  });

  const looking = say(plan, begun, ...untilLook);
  const arrived = (looking.arrivedMs - startMs) / 1000;
  const within = 25 * 60;

  test('looking again never starts the time anew', () => {
    const over = looking.arrivedMs + within * 1000;
    let walk = looking;
    for (const at of [60, 300, 1200]) {
      walk = say(plan, walk, { kind: 'lights', pattern: 'loading', at: arrived + at });
      expect(asked(walk)).toMatchObject({ kind: 'watch', overMs: over });
    }
    const tooSoon = say(plan, walk, { kind: 'time-up', at: arrived + within - 1 });
    expect(tooSoon.complaint).toMatchObject({ code: 'not-yet-late', fromMs: over });
    const late = say(plan, walk, { kind: 'time-up', at: arrived + within });
    expect(asked(late)).toMatchObject({ step: { id: 'leave-alone' } });
    expect(late.at.busy).toBe(true);
  });

  test('lights seen after the time are too late, whatever they say', () => {
    const walk = say(plan, looking, { kind: 'lights', pattern: 'taken', at: arrived + within + 1 });
    expect(walk.complaint?.code).toBe('time-is-up');
    expect(walk.phase).toEqual(looking.phase);
    expect(
      asked(say(plan, looking, { kind: 'lights', pattern: 'taken', at: arrived + within })),
    ).toMatchObject({
      step: { id: 'take-out' },
    });
  });

  test('lights lead by the list; others are unlisted; keeping on is no entry', () => {
    const kept = say(plan, looking, { kind: 'lights', pattern: 'loading' });
    expect(kept.done).toEqual(looking.done);
    expect(asked(say(plan, looking, { kind: 'unlisted' }))).toMatchObject({ step: { id: 'leave-alone' } });
    expect(say(plan, looking, { kind: 'lights', pattern: 'dark' }).complaint?.code).toBe('pattern-unlisted');
  });

  test('tries are counted; the one that is used up is passed over', () => {
    const refused: Said = { kind: 'lights', pattern: 'turned-down' };
    const again = say(plan, looking, refused);
    expect(asked(again)).toMatchObject({ kind: 'do', step: { id: 'again' }, triesLeft: 1 });
    const second = say(plan, again, { kind: 'done' }, { kind: 'done' }, refused);
    expect(asked(second)).toMatchObject({ step: { id: 'take-out-failed' } });
    expect(doneList(second).slice(-2)).toEqual(['look:lights:turned-down', 'again:no-tries-left']);
  });

  const reading = say(plan, looking, { kind: 'lights', pattern: 'taken' }, { kind: 'done' });

  test("the release's version is taken at once; any other has to be typed twice", () => {
    expect(asked(reading)).toMatchObject({ kind: 'read', again: false });
    expect(say(plan, reading, { kind: 'version', version: '4.2' }).done.at(-1)?.result).toBe(
      'release-version',
    );
    const once = say(plan, reading, { kind: 'version', version: '4.1.0' });
    expect(once.complaint).toMatchObject({ code: 'version-again', heard: true });
    expect(say(plan, once, { kind: 'version', version: '4.2.0' }).done.at(-1)?.result).toBe(
      'release-version',
    );
    const twice = say(plan, once, { kind: 'version', version: '4.1' });
    expect(twice.done.at(-1)).toMatchObject({ result: 'other-version', facts: { version: '4.1' } });
    expect(say(plan, once, { kind: 'version', version: '4.0' }).complaint?.code).toBe('version-again');
    expect(say(plan, reading, { kind: 'unreadable' }).done.at(-1)?.result).toBe('unreadable');
    expect(JSON.stringify(asked(reading))).not.toContain('4.2.0');
  });

  const serving = say(
    plan,
    reading,
    { kind: 'version', version: '4.2.0' },
    { kind: 'done' },
    { kind: 'done' },
    { kind: 'done' },
  );

  test('each sign of service is asked; one not seen leads away', () => {
    expect(asked(serving)).toMatchObject({ kind: 'sign', index: 0, count: 3 });
    const not = say(plan, serving, { kind: 'sign', seen: true }, { kind: 'sign', seen: false });
    expect(not.done.at(-1)).toMatchObject({
      result: 'does-not-pass',
      facts: { notSeen: 'Flow and pressure are as before' },
    });
    expect(asked(not)).toMatchObject({ step: { id: 'not-serving' } });
  });

  test('to the end: service seen again, left, told', () => {
    const walk = say(
      plan,
      serving,
      ...signs,
      ...signs,
      { kind: 'left', left: 'running' },
      { kind: 'told', name: 'M. Alder' },
    );
    expect(walk.phase.kind).toBe('ended');
    expect(walk.result).toMatchObject({
      outcome: 'updated',
      left: 'running',
      told: 'M. Alder',
      by: 'procedure',
    });
    expect(walk.notes).toMatchObject({ versionRead: '4.2.0', lights: 'taken' });
  });

  test('a sign not seen after an update makes it a failure', () => {
    const walk = say(
      plan,
      serving,
      ...signs,
      { kind: 'sign', seen: false },
      { kind: 'left', left: 'locked-off' },
      { kind: 'cause', cause: 'unit' },
      { kind: 'case', number: '4471' },
      { kind: 'told', name: null },
    );
    expect(walk.result).toMatchObject({
      outcome: 'failed',
      by: 'service',
      cause: 'unit',
      caseNumber: '4471',
      told: null,
      left: 'locked-off',
    });
  });

  test('settings are restored one by one, and those that were not are kept', () => {
    const with_ = planOf(pump, { resets: ['bus address', 'speed limit'] });
    const values: Said = { kind: 'settings', values: ['7', '50 Hz'] };
    const frame = [...frameBefore.slice(0, 5), values, ...frameBefore.slice(5)];
    const all = say(with_, fresh(with_), ...frame, ...untilLook, { kind: 'lights', pattern: 'taken' });
    const ended = say(
      with_,
      all,
      { kind: 'done' },
      { kind: 'version', version: '4.2.0' },
      { kind: 'done' },
      { kind: 'done' },
      { kind: 'done' },
      ...signs,
    );
    expect(asked(ended, with_)).toEqual({
      kind: 'restore',
      setting: 'bus address',
      before: '7',
      index: 0,
      count: 2,
    });
    const restored = say(
      with_,
      ended,
      { kind: 'restored', restored: true },
      { kind: 'restored', restored: false },
    );
    expect(restored.notes.notRestored).toEqual(['speed limit']);
    expect(restored.phase.kind).toBe('service');
  });

  test('a deferral asks for its reason', () => {
    const live = say(
      plan,
      measuring,
      ...dead.map((one, i) => (i === 1 ? ({ kind: 'reading', text: '380' } as Said) : one)),
      { kind: 'done' },
    );
    const walk = say(
      plan,
      live,
      { kind: 'left', left: 'locked-off' },
      { kind: 'reason', reason: 'unsafe' },
      { kind: 'told', name: 'M. Alder' },
    );
    expect(walk.result).toMatchObject({ outcome: 'deferred', reason: 'unsafe', left: 'locked-off' });
  });
});

describe('what is typed and kept', () => {
  const lead = say(plan, say(plan, fresh(plan), ...frameBefore.slice(0, 4)), {
    kind: 'version-before-unreadable',
  });
  test.each(['', '  ', 'x'.repeat(81), 'a\u001b[2Jb', 'a\u202eb'])('%j is not taken', (name) => {
    expect(say(plan, lead, { kind: 'lead-says', goOn: true, name }).complaint?.code).toBe('text-form');
    const told = { ...begun, phase: { kind: 'told' as const }, result: resultOf('failed', 'stop') };
    expect(say(plan, told, { kind: 'told', name }).complaint?.code).toBe('text-form');
    const asksCase = { ...told, phase: { kind: 'case' as const } };
    expect(say(plan, asksCase, { kind: 'case', number: name }).complaint?.code).toBe('text-form');
    const card = say(plan, fresh(plan), ...frameBefore.slice(0, 2));
    expect(say(plan, card, { kind: 'card', standing: { ...readyCard, name: '' } }).complaint?.code).toBe(
      'text-form',
    );
  });
  test('on one line, single blanks', () => {
    const walk = say(plan, lead, { kind: 'lead-says', goOn: true, name: '  O.\n Fen ' });
    expect(walk.done.at(-1)?.facts).toEqual({ name: 'O. Fen' });
  });
});

describe('time', () => {
  test('never runs backwards', () => {
    const walk = say(plan, begun, { kind: 'done', at: 1 });
    expect(walk.complaint).toMatchObject({ code: 'backwards', fromMs: begun.atMs });
    expect({ ...walk, complaint: null }).toEqual(begun);
  });
});

test('an event that is no answer is a mistake of the caller', () => {
  expect(() => reduceWalk(plan, begun, { kind: 'told', name: 'x', atMs: begun.atMs })).toThrow(RangeError);
  const over: Walk = { ...begun, phase: { kind: 'ended' } };
  expect(() => reduceWalk(plan, over, { kind: 'stop', atMs: begun.atMs })).toThrow(RangeError);
});

describe('a stop', () => {
  test('at the first step: how it stands, and how else if the step was begun', () => {
    const walk = say(plan, begun, { kind: 'stop' });
    expect(asked(walk)).toMatchObject({
      kind: 'stopped',
      why: 'asked',
      mayGoOn: true,
      outcomes: ['deferred', 'failed'],
      stand: { step: 'stop', mayBeWriting: false, order: null, untouched: false },
    });
    const { stand } = asked(walk) as Extract<ReturnType<typeof asked>, { kind: 'stopped' }>;
    expect(stand.positions[0]).toEqual({
      name: 'array',
      state: 'connected',
      orElse: 'isolated',
      ends: 'connected',
    });
    expect(stand.positions.map(({ orElse }) => orElse).slice(1)).toEqual([null, null, null]);
    expect(say(plan, walk, { kind: 'go-on' }).phase).toEqual(begun.phase);
  });

  test('while the lights are watched: it may be writing, no order, and it can only have failed', () => {
    const walk = say(plan, begun, ...untilLook, { kind: 'stop' });
    expect(asked(walk)).toMatchObject({ outcomes: ['failed'], stand: { mayBeWriting: true, order: null } });
    expect(say(plan, walk, { kind: 'end-here', outcome: 'deferred' }).complaint?.code).toBe(
      'outcome-not-open',
    );
  });

  test('with the button perhaps held already: it may be writing', () => {
    const walk = say(plan, begun, ...untilStart, { kind: 'stop' });
    expect(asked(walk)).toMatchObject({ outcomes: ['failed'], stand: { mayBeWriting: true, order: null } });
  });

  test("on the way back: the manifest's own order, with where each step leads", () => {
    const walk = say(
      plan,
      begun,
      ...untilLook,
      { kind: 'lights', pattern: 'taken' },
      { kind: 'done' },
      { kind: 'version', version: '4.2.0' },
      { kind: 'stop' },
    );
    const { stand } = asked(walk) as Extract<ReturnType<typeof asked>, { kind: 'stopped' }>;
    expect(stand.mayBeWriting).toBe(false);
    expect(stand.order?.map(({ id }) => id)).toEqual([
      'lower',
      'unplug',
      'restart',
      'serving',
      'finished',
      'not-serving',
      'ended-badly',
    ]);
    expect(stand.order?.[3]?.exits).toEqual([
      { reason: 'passes', to: 'finished' },
      { reason: 'does-not-pass', to: 'not-serving' },
    ]);
  });

  test('cannot is a stop; breaking off leaves it open; ending it asks for what is unsure', () => {
    const cannot = say(plan, begun, { kind: 'cannot' });
    expect(cannot.phase).toMatchObject({ kind: 'stopped', why: 'cannot' });
    expect(say(plan, cannot, { kind: 'break-off' }).phase.kind).toBe('broken-off');
    const here = say(plan, cannot, { kind: 'end-here', outcome: 'deferred' });
    expect(asked(here)).toEqual({
      kind: 'position',
      purpose: 'left',
      names: ['array'],
      name: 'array',
      states: ['connected', 'isolated'],
    });
    const left = say(plan, here, { kind: 'position', state: 'isolated' });
    expect(left.phase.kind).toBe('left');
    expect(left.done.at(-1)?.positions).toMatchObject({ array: 'isolated', card: 'out' });
    const ended = say(
      plan,
      left,
      { kind: 'left', left: 'locked-off' },
      { kind: 'reason', reason: 'no-time' },
      { kind: 'told', name: null },
    );
    expect(ended.result).toMatchObject({ outcome: 'deferred', by: 'stop', reason: 'no-time' });
  });

  test('once the unit may have taken something in, a visit that is ended has failed', () => {
    const back = say(plan, begun, ...untilLook, { kind: 'lights', pattern: 'turned-down' }, { kind: 'stop' });
    expect(asked(back)).toMatchObject({
      outcomes: ['failed'],
      stand: { step: 'again', mayBeWriting: false },
    });
  });

  test('before a watch of the writing it may be writing, even where the manifest names no whileBusy', () => {
    const bare = planOf(writtenProduct({ procedure: pumpSteps(), whileBusy: {} }));
    const walk = say(bare, fresh(bare), ...frameBefore, ...untilStart);
    expect(mayBeWriting(bare, walk)).toBe(true);
    expect(mayBeWriting(bare, say(bare, fresh(bare), ...frameBefore, ...untilStart.slice(0, -1)))).toBe(
      false,
    );
  });

  test('lights that said it is not writing say no more once a card goes in or a button is held', () => {
    const steps = pumpSteps();
    const at = steps.findIndex(({ id }) => id === 'insert');
    steps.splice(at, 0, {
      id: 'wakes',
      watch: { taken: 'insert' },
      within: '2min',
      late: 'live',
      unlisted: 'live',
    });
    steps.splice(at + 2, 0, { id: 'press', hold: 'MODE', for: '2s' }, { id: 'pause', wait: '10s' });
    const woken = planOf(writtenProduct({ procedure: steps }));
    const idle = say(woken, fresh(woken), ...frameBefore, ...untilStart.slice(0, -1), {
      kind: 'lights',
      pattern: 'taken',
    });
    expect(idle.idle).toBe(true);
    // With the card perhaps in already, what the lights said before it says nothing.
    expect(mayBeWriting(woken, idle)).toBe(true);
    expect(mayBeWriting(woken, { ...idle, at: { ...idle.at, step: 5 } })).toBe(false);
    expect(say(woken, idle, { kind: 'done' }).idle).toBe(false);
    const held = say(woken, { ...say(woken, idle, { kind: 'done' }), idle: true }, { kind: 'done' });
    expect(held.idle).toBe(false);
  });

  test('while resuming: no order before everything was looked at', () => {
    const walk = say(plan, begun, ...untilLook, { kind: 'lights', pattern: 'taken' }, { kind: 'done' });
    expect(asked(say(plan, walk, { kind: 'stop' }))).toMatchObject({
      stand: { order: [{ id: 'after' }, {}, {}, {}, {}, {}, {}, {}, {}, {}] },
    });
    const resumed = say(plan, resumeWalk(plan, walk.done, true, walk.atMs), { kind: 'stop' });
    expect(asked(resumed)).toMatchObject({ kind: 'stopped', stand: { order: null, untouched: false } });
  });

  test('before the procedure: untouched, and nothing is asked of how it was left', () => {
    const walk = say(plan, fresh(plan), { kind: 'caution-read' }, { kind: 'stop' });
    expect(asked(walk)).toMatchObject({ stand: { untouched: true, order: null, step: null } });
    const ended = say(
      plan,
      walk,
      { kind: 'end-here', outcome: 'deferred' },
      { kind: 'reason', reason: 'no-access' },
      { kind: 'told', name: null },
    );
    expect(ended.result).toMatchObject({ outcome: 'deferred', left: null });
  });
});
