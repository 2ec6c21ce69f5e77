// What `manifests trust` and `distrust` ask a person at a terminal before anybody is trusted or no longer is.

import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeEach, expect, test } from 'vitest';
import { run as distrust } from '../../../src/commands/manifests-distrust.ts';
import { run as trust } from '../../../src/commands/manifests-trust.ts';
import { laterFailureOf } from '../../support/failure-of.ts';
import { type RegisterWorkspace, registerWorkspace } from '../../support/register-workspace.ts';
import { type ScriptedAnswer, scriptedPerson } from '../../support/scripted-person.ts';
import { fingerprintOf, makeKey } from '../../support/ssh-keys.ts';

const keys = mkdtempSync(join(tmpdir(), 'slotproof-keys-'));
afterAll(() => rmSync(keys, { recursive: true }));
const lead = makeKey(keys, 'ed25519', 'lead');
let workspace: RegisterWorkspace;
const signers = () => join(workspace.path, 'trusted-signers');
beforeEach(() => {
  workspace = registerWorkspace();
});
afterEach(() => workspace.remove());

async function asked(
  run: typeof trust,
  args: readonly string[],
  options: Record<string, string>,
  answers: readonly ScriptedAnswer[],
) {
  const person = scriptedPerson(workspace.path, answers);
  const answer = await run(person.context, args, options).finally(person.close);
  person.requireAllAsked();
  return { answer, notices: person.notices.join('\n') };
}

const isIts = 'Does the owner of the key say that this is its fingerprint?';

test('whose key, and whether the owner says this fingerprint; that trust is switched on is said before', async () => {
  const { answer, notices } = await asked(trust, [`${lead}.pub`], {}, [
    ['Whose key is it', 'J. Marl'],
    [isIts, true],
  ]);
  expect(notices).toContain(`J. Marl: ssh-ed25519 ${fingerprintOf(lead)}`);
  expect(notices).toContain('This switches trust on');
  expect(answer.text.split('\n').at(-1)).toMatch(/^Trust is on now: 0 of 6 manifests here may be used\./);
  const gone = await asked(distrust, ['J. Marl'], {}, [['Take trust away', true]]);
  expect(gone.notices).toContain(fingerprintOf(lead));
  expect(gone.answer.text).toContain('nobody is trusted: no manifest is used');
  expect(readFileSync(signers(), 'utf8')).toBe('');
});

test('no: nothing is changed', async () => {
  const failure = await laterFailureOf(() => asked(trust, [lead], { name: 'J. Marl' }, [[isIts, false]]));
  expect(failure).toMatchObject({ code: 'not-confirmed', exit: 5 });
  expect(existsSync(signers())).toBe(false);
  await asked(trust, [lead], { name: 'J. Marl', confirm: fingerprintOf(lead) }, []);
  const before = readFileSync(signers(), 'utf8');
  const kept = await laterFailureOf(() => asked(distrust, ['J. Marl'], {}, [['Take trust away', false]]));
  expect([kept.code, readFileSync(signers(), 'utf8')]).toEqual(['not-confirmed', before]);
});
