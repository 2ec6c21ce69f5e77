// What `log` asks a person at a terminal, and what becomes of the answers.
import { afterEach, beforeEach, expect, test } from 'vitest';
import { run } from '../../../src/commands/log.ts';
import { recordRows } from '../../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../../support/register-workspace.ts';
import { runCli } from '../../support/run-cli.ts';
import { type ScriptedAnswer, scriptedPerson } from '../../support/scripted-person.ts';

const serial = pumpSerial(1);
let workspace: RegisterWorkspace;
beforeEach(async () => {
  workspace = registerWorkspace();
  const added = ['units', 'add', serial, '--site', 'Alder Farm', '--version', '4.0.0'];
  expect((await runCli(added, { workspace: workspace.path })).exit).toBe(0);
});
afterEach(() => workspace.remove());

async function log(
  args: readonly string[],
  options: Record<string, string>,
  answers: readonly ScriptedAnswer[],
) {
  const person = scriptedPerson(workspace.path, answers);
  await run(person.context, args, options).finally(person.close);
  person.requireAllAsked();
  return recordRows(workspace.record).findLast(({ kind }) => kind === 'outcome');
}

const who: ScriptedAnswer = ['Who is working', 'R. Quill'];

test('from nothing: which unit, which outcome, how it is known, who', async () => {
  const row = await log([], {}, [
    ['Which unit', serial],
    ['What was the outcome', 'updated'],
    ['read from the unit', true],
    ['Which version', '4.2.0'],
    who,
  ]);
  expect(row).toMatchObject({
    typedBy: 'R. Quill',
    body: { outcome: 'updated', versionRead: '4.2.0', release: 'rill-40@4.2.0' },
  });
});

test('not read: what the lights showed, from the list of the product', async () => {
  const row = await log([serial, 'updated'], {}, [['read from the unit', false], ['lights', 'taken'], who]);
  expect(row?.body).toMatchObject({ evidence: 'lights', lights: 'taken' });
  const unseen = await log([serial, 'updated'], {}, [
    ['read from the unit', false],
    ['lights', 'the lights were not seen'],
    who,
  ]);
  expect(unseen?.body).toMatchObject({ evidence: 'reported' });
});

test('another version than the release’s: taken as updated only where the display really shows it', async () => {
  const row = await log([serial, 'updated'], { versionRead: '4.1.0' }, [who, ['really show 4.1.0', true]]);
  expect(row?.body).toMatchObject({ outcome: 'updated', versionRead: '4.1.0', displayConfirmed: true });
});

test('a slip of the fingers: asked again until it fits or is confirmed', async () => {
  const row = await log([serial, 'updated'], { versionRead: '4.1.0' }, [
    who,
    ['really show 4.1.0', false],
    ['Which version does the display show', '4.2.1'],
    ['really show 4.2.1', false],
    ['Which version does the display show', '4.2.0'],
  ]);
  expect(row?.body).toMatchObject({ outcome: 'updated', versionRead: '4.2.0' });
  expect(row?.body).not.toHaveProperty('displayConfirmed');
});

test('deferred: why; failed: on what, and how it was left', async () => {
  expect((await log([serial, 'deferred'], {}, [['Why', 'no-time'], who]))?.body).toMatchObject({
    reason: 'no-time',
  });
  const failed = await log([serial, 'failed'], {}, [['fail on', 'card'], ['left', 'locked-off'], who]);
  expect(failed?.body).toMatchObject({ cause: 'card', left: 'locked-off' });
  const unclear = await log([serial, 'failed'], { left: 'off' }, [['fail on', 'not known'], who]);
  expect(unclear?.body).not.toHaveProperty('cause');
});

test('a serial with a slip: the near one is offered, and only taken when chosen', async () => {
  const slip = serial.replace('18', '81');
  const row = await log([slip, 'deferred'], { reason: 'other' }, [['Which unit is meant', serial], who]);
  expect(row?.body.serial).toBe(serial);
  const none = log([slip, 'deferred'], { reason: 'other' }, [['Which unit is meant', 'none of these']]);
  await expect(none).rejects.toMatchObject({ facts: { code: 'unit-unknown' } });
});

test('already-current, by a version that no release has: only where the display really shows it', async () => {
  const slip = await log([serial, 'already-current'], { versionRead: '42.0' }, [
    who,
    ['No release of rill-40 has the version 42.0. Does the display really show 42.0', false],
    ['Which version does the display show', '4.2.0'],
  ]);
  expect(slip?.body).toMatchObject({ outcome: 'already-current', versionRead: '4.2.0' });
  expect(slip?.body).not.toHaveProperty('displayConfirmed');
  const sure = await log([serial, 'already-current'], { versionRead: '42.0' }, [
    who,
    ['really show 42.0', true],
  ]);
  expect(sure?.body).toMatchObject({ versionRead: '42.0', displayConfirmed: true });
});

test('already-current: the version that was read', async () => {
  expect((await log([serial, 'already-current'], {}, [['Which version', '4.2.0'], who]))?.body).toMatchObject(
    { versionRead: '4.2.0' },
  );
});
