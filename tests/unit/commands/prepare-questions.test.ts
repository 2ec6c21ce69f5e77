// What `prepare` asks a person for, and that nothing is written before the answer.

import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { run } from '../../../src/commands/prepare.ts';
import { makeCardFile } from '../../support/card-images.ts';
import { anyCard, makeCardWorkspace, testImage } from '../../support/card-workspace.ts';
import { type ScriptedAnswer, type ScriptedPerson, scriptedPerson } from '../../support/scripted-person.ts';

const image = testImage(20_000);
const open: ScriptedPerson[] = [];
afterEach(() => {
  for (const person of open.splice(0)) person.close();
});

function bench(answersFor: (card: string) => readonly ScriptedAnswer[]) {
  const made = makeCardWorkspace(anyCard, [{ version: '4.2.0', image }]);
  const card = join(made.folder, 'card.img');
  const files = [{ path: 'DCIM/A.JPG', bytes: testImage(3000) }];
  makeCardFile(card, { sizeBytes: 6 * 2 ** 20, table: 'none', bits: 16, sectorsPerCluster: 1, files });
  const person = scriptedPerson(made.workspace, answersFor(card));
  open.push(person);
  return { ...made, card, person };
}

it('asks for card, release, consent and name, in this order, the plan shown before the consent', async () => {
  const { person, download } = bench((card) => [
    ['Which card?', card],
    ['For which release?', 'rill-40@4.2.0  Rill 40 pump drive'],
    [`One file is kept first. One thing goes. Write to ${card}?`, true],
    ['Who is working?', 'R. Quill'],
  ]);
  const answer = await run(person.context, [undefined], { from: download('4.2.0') });
  expect(answer.json).toMatchObject({ verdict: 'ready' });
  expect(person.notices.join('\n')).toMatch(/keep {8}DCIM\/A\.JPG[\s\S]*write {7}RILL40\.FWU/);
  person.requireAllAsked();
});

it('writes nothing where the answer is no', async () => {
  const { person, download, card } = bench(() => [['Write to', false]]);
  const before = readFileSync(card);
  const attempt = run(person.context, [card], { for: 'rill-40', from: download('4.2.0') });
  await expect(attempt).rejects.toMatchObject({ facts: { code: 'not-confirmed', exit: 130 } });
  expect(readFileSync(card).equals(before)).toBe(true);
  person.requireAllAsked();
});

it('says with --fresh that what is on the card will be lost', async () => {
  const { person, download, card } = bench(() => [
    ['One file is kept first; for the rest: what is on this card will be lost. Lay', true],
    ['Who', 'Q'],
  ]);
  const answer = await run(person.context, [card], { for: 'rill-40', from: download('4.2.0'), fresh: true });
  expect(answer.json).toMatchObject({ verdict: 'ready', kept: [{ path: 'DCIM/A.JPG' }] });
});

it('asks for no consent where nothing can be lost: a new file, a card that is ready, a dry run', async () => {
  const { person, download, folder, card } = bench(() => [
    ['Who', 'Q'],
    ['Who', 'Q'],
  ]);
  const options = { for: 'rill-40', from: download('4.2.0') };
  const path = join(folder, 'new.img');
  const made = await run(person.context, [path], { ...options, fresh: true, size: '16MiB' });
  expect(made.json).toMatchObject({ verdict: 'ready' });
  expect((await run(person.context, [path], options)).json).toMatchObject({ verdict: 'ready', plan: [] });
  expect((await run(person.context, [card], { ...options, dryRun: true })).exit).toBe(0);
  person.requireAllAsked();
});
