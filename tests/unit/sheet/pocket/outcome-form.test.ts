// The outcome form: every fault it tells, and what comes of one without faults.

import { expect, test } from 'vitest';
import {
  checkForm,
  emptyForm,
  type OutcomeForm,
  outcomeOfForm,
} from '../../../../src/sheet/pocket/outcome-form.ts';
import { dataOf, serial, utc } from './pocket-fixture.ts';

const data = dataOf();
const good: OutcomeForm = {
  ...emptyForm,
  outcome: 'updated',
  versionRead: '4.2.0',
  left: 'running',
  by: ' R. Quill ',
  at: '2026-11-24T14:30',
};
const faults = (changes: Partial<OutcomeForm>) =>
  checkForm({ ...good, ...changes }, data, utc).map(({ field, fault }) => `${field} ${fault}`);
const outcomeOf = (changes: Partial<OutcomeForm>) =>
  outcomeOfForm(
    { ...good, ...changes },
    data,
    { sheet: 'K7MD-29XX', row: 1, serial, steps: [], takenBack: 0 },
    { offsetMinutes: () => 60 },
  );

test.each<[string, Partial<OutcomeForm>, string[]]>([
  ['nothing', {}, []],
  ['no outcome', { outcome: '' }, ['outcome outcome-missing']],
  ['nobody', { by: '  ' }, ['by by-missing']],
  ['no time', { at: '' }, ['at time-form']],
  ['a time of day alone', { at: '14:30' }, ['at time-form']],
  ['a day that does not exist', { at: '2026-02-30T10:00' }, ['at time-form']],
  [
    'no version of the scheme',
    { versionRead: 'new one' },
    ['versionRead version-form', 'displayConfirmed display-not-confirmed'],
  ],
  ['the same for the version before', { versionBefore: '4.x' }, ['versionBefore version-form']],
  [
    'already current without a version',
    { outcome: 'already-current', versionRead: '' },
    ['versionRead version-missing'],
  ],
  ['another version', { versionRead: '4.1.0' }, ['displayConfirmed display-not-confirmed']],
  ['another version, confirmed', { versionRead: '4.1.0', displayConfirmed: true }, []],
  ['the same version written otherwise', { versionRead: '4.2' }, []],
  ['another version, failed', { outcome: 'failed', versionRead: '4.1.0' }, []],
  ['not said how it is left', { left: '' }, ['left left-missing']],
  [
    'a deferral without a reason',
    { outcome: 'deferred', left: '', versionRead: '' },
    ['reason reason-missing'],
  ],
  ['a deferral', { outcome: 'deferred', reason: 'no-access', left: '', versionRead: '' }, []],
  ['a note without end', { note: 'x'.repeat(401) }, ['note too-long']],
])('faults: %s', (_what, changes, expected) => {
  expect(faults(changes)).toEqual(expected);
});

test('what comes of it: texts on one line, absent where nothing is said, the phone’s own offset', () => {
  expect(
    outcomeOf({ note: ' two\n lines ', displayConfirmed: true, cause: 'card', reason: 'other' }),
  ).toEqual({
    sheet: 'K7MD-29XX',
    row: 1,
    serial,
    outcome: 'updated',
    at: '2026-11-24T14:30:00.000+01:00',
    by: 'R. Quill',
    versionRead: '4.2.0',
    left: 'running',
    note: 'two lines',
  });
  expect(outcomeOf({ outcome: 'failed', cause: 'card', reason: 'other', versionRead: '' })).toMatchObject({
    cause: 'card',
  });
  expect(outcomeOf({ outcome: 'failed', cause: 'card', reason: 'other' })).not.toHaveProperty('reason');
  expect(outcomeOf({ outcome: 'deferred', reason: 'no-time' })).toMatchObject({ reason: 'no-time' });
  expect(outcomeOf({ versionRead: '4.1.0', displayConfirmed: true })).toMatchObject({
    displayConfirmed: true,
  });
});
