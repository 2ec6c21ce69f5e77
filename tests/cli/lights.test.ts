// `lights` as a person calls it, with the demonstration maker's products.

import { rmSync } from 'node:fs';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../../src/commands/lights.ts';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { runCli } from '../support/run-cli.ts';
import { scriptedPerson } from '../support/scripted-person.ts';

let workspace = '';
let folder = '';
beforeAll(() => {
  ({ folder, workspace } = makeDemoWorkspace());
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const lights = (...args: string[]) => runCli(['lights', ...args, '--json'], { workspace });
const printed = async (...args: string[]) =>
  (await runCli(['lights', ...args], { workspace, columns: 80 })).stdout;

describe('the list', () => {
  test('every pattern with its meaning, whether the unit may be writing, and its lights in characters', async () => {
    const text = await printed('hearth-90');
    expect(text).toContain('receiving: The firmware file is being copied from the card');
    expect(text).toContain('The unit may be writing: do not cut the power, do not pull the card.');
    expect(text).toContain('FAULT (red) [##############################]  on');
    expect(text).toContain('flashes 20 a minute: about 3 in ten seconds');
    expect(text).toContain('RUN, LINK, FAULT light up one after another');
    expect(await printed('kerb-22')).toContain('display shows "E 41"');
  });

  test('the same as JSON, with by what each is told from each', async () => {
    const { exit, json } = await lights('hearth-90');
    expect([exit, json.product, json.seen, json.matches]).toEqual([0, 'hearth-90', null, []]);
    expect(json.patterns).toHaveLength(9);
    const writing = json.patterns.find(({ pattern }: any) => pattern === 'writing');
    expect(writing).toMatchObject({ busy: true, shows: 'RUN, LINK, FAULT light up in turn, 350 ms each' });
    expect(writing.apart).toHaveLength(8);
    for (const { from, hard, seconds, by } of writing.apart) {
      expect([typeof from, hard, typeof seconds, typeof by]).toEqual(['string', false, 'number', 'string']);
    }
  });

  test('which are hard to tell apart: by colour alone, by a long look, not at all', async () => {
    const { writeFileSync, readFileSync } = await import('node:fs');
    const other = makeDemoWorkspace();
    try {
      const path = `${other.workspace}/manifests/tarnholt/weir-18.yaml`;
      const text = readFileSync(path, 'utf8');
      const more = [
        '  - { id: same, means: The same again, shows: { status: { perMinute: 5, colour: red } } }',
        '  - { id: slower, means: Slow, shows: { status: { perMinute: 5, colour: green } } }',
        '  - { id: twin, means: A twin, shows: { status: { perMinute: 6, colour: green } } }',
      ];
      writeFileSync(
        path,
        text.replace(/^patterns:.*$/m, (line) => [line, ...more].join('\n')),
      );
      const { stdout } = await runCli(['lights', 'weir-18'], { workspace: other.workspace, columns: 200 });
      expect(stdout).toContain('Hard to tell apart:');
      expect(stdout).toMatch(
        /`same` and `slower`: look for \d+ s, only by a colour, which not everyone sees/,
      );
      expect(stdout).toContain('`slower` and `twin` look the same: nobody can tell them by eye.');
      const { json } = await runCli(['lights', 'weir-18', '--json'], { workspace: other.workspace });
      const same = json.patterns.find(({ pattern }: any) => pattern === 'same');
      expect(same.apart.find(({ from }: any) => from === 'slower')).toMatchObject({
        hard: true,
        colourOnly: true,
      });
      const slower = json.patterns.find(({ pattern }: any) => pattern === 'slower');
      expect(slower.apart.find(({ from }: any) => from === 'twin')).toEqual({
        from: 'twin',
        hard: true,
        seconds: null,
        by: null,
        colourOnly: null,
      });
    } finally {
      rmSync(other.folder, { recursive: true, force: true });
    }
  });

  test('fits 60 columns', async () => {
    for (const product of ['hearth-90', 'weir-18', 'kerb-22']) {
      const { stdout } = await runCli(['lights', product], { workspace, columns: 60 });
      for (const line of stdout.split('\n')) expect(line.length, line).toBeLessThanOrEqual(60);
    }
  });
});

describe('what was seen', () => {
  test('a match, sure, with what to do next: exit 0', async () => {
    const { exit, json } = await lights('hearth-90', '--seen', 'run=off,link=off,fault=on');
    expect(exit).toBe(0);
    expect(json.matches[0]).toMatchObject({ pattern: 'broken-off', sure: true, fit: 'fits' });
    for (const match of json.matches) {
      expect(Object.keys(match)).toEqual(
        expect.arrayContaining(['pattern', 'means', 'next', 'sure', 'fit', 'shows', 'surer']),
      );
    }
    const text = await printed('hearth-90', '--seen', 'run=off,link=off,fault=on');
    expect(text.trimEnd().split('\n').join(' ')).toMatch(/sure: broken-off\. Next: At `look`: /);
  });

  test('not sure: what to look at to be surer, and a light nobody looked at is not off', async () => {
    const { exit, json } = await lights('hearth-90', '--seen', 'run=on');
    expect(exit).toBe(0);
    expect(json.matches.every(({ sure }: any) => sure === false)).toBe(true);
    expect(json.matches[0].surer.length).toBeGreaterThan(0);
    expect(await printed('hearth-90', '--seen', 'run=on')).toContain('not sure: ');
  });

  test('all off is an answer, and says that an unlit light does not prove dead', async () => {
    const { exit, json } = await lights('weir-18', '--seen', 'off');
    expect(exit).toBe(0);
    expect(json.matches[0]).toMatchObject({ sure: false });
    const { json: cabinet } = await lights('hearth-90', '--seen', 'off');
    expect(cabinet.matches[0]).toMatchObject({ pattern: 'dark', sure: false });
  });

  test('idle is an answer', async () => {
    const { json } = await lights('hearth-90', '--seen', 'run=on,link=off,fault=off');
    expect(json.matches[0].pattern).toBe('in-service');
  });

  test('a display text, a sweep, groups', async () => {
    expect((await lights('kerb-22', '--seen', 'display=E 47')).json.matches[0].pattern).toBe(
      'writing-failed',
    );
    expect((await lights('hearth-90', '--seen', 'sweep=run+link+fault')).json.matches[0].pattern).toBe(
      'writing',
    );
    expect((await lights('hearth-90', '--seen', 'run=off,link=2x,fault=off')).json.matches[0].pattern).toBe(
      'receiving',
    );
  });

  test('nothing like it: exit 3, and power and card are left alone', async () => {
    const seen = ['kerb-22', '--seen', 'display=no such text at all 123456'];
    const { exit, json } = await lights(...seen);
    expect([exit, json.matches]).toEqual([3, []]);
    expect(json.nearest.every(({ fit, sure }: any) => fit === 'hardly' && !sure)).toBe(true);
    expect(await lights('hearth-90', '--seen', 'run=on,fault=20in10s')).toMatchObject({ exit: 3 });
    expect((await printed(...seen)).replace(/\s+/g, ' ')).toContain('leave power and card as they are');
  });

  test.each([
    'lump=3x',
    'run',
    '=on',
    '',
    'run=on,run=off',
    'run=0in0s',
    'run=20in10fortnights',
    'sweep=run',
    'x'.repeat(5000),
    'run=\u001b[31mon',
  ])('what cannot be read is exit 2 with an example of this product: %#', async (seen) => {
    const { exit, json, stdout } = await lights('hearth-90', '--seen', seen);
    expect([exit, json.error.code]).toEqual([2, 'seen-form']);
    expect(json.error.next).toContain('--seen "run=on,link=20in10s"');
    expect(stdout).not.toContain('\u001b');
  });

  test('the example can be typed as it stands', async () => {
    for (const product of ['hearth-90', 'weir-18', 'kerb-22']) {
      const { json } = await lights(product, '--seen', '?');
      const example = /--seen "([^"]+)"/.exec(json.error.next)?.[1] ?? '';
      expect((await lights(product, '--seen', example)).exit).not.toBe(2);
    }
  });
});

describe('wrong use', () => {
  test.each([
    [['kerb'], 'unknown-product'],
    [['kerb-22', '--play', 'chargin'], 'pattern-unknown'],
    [['kerb-22', '--play', 'charging', '--seen', 'off'], 'option-misplaced'],
    [['kerb-22', '--seconds', '5'], 'option-misplaced'],
    [['kerb-22', '--play', 'charging'], 'no-terminal'],
  ])('%j: %s', async (args, code) => {
    expect(await lights(...args)).toMatchObject({ exit: 2, json: { command: 'lights', error: { code } } });
  });

  test('no product: asked at a terminal, an error that names it without one', async () => {
    expect((await lights()).json.error.next).toContain('PRODUCT');
    const person = scriptedPerson(workspace, [['Of which product', 'kerb-22  Kerb 22 charger']]);
    const answer = await run(person.context, [undefined], {}).finally(person.close);
    person.requireAllAsked();
    expect(answer.json.product).toBe('kerb-22');
  });
});

describe('playing', () => {
  async function play(pattern: string, options: Record<string, string>, abortAfterMs?: number) {
    const drawn: string[][] = [];
    const stop = new AbortController();
    const person = scriptedPerson(workspace, []);
    const context = Object.create(person.context, {
      stop: { value: stop.signal },
      terminal: {
        value: {
          ...person.context.terminal,
          live: () => ({ show: (lines: string[]) => void drawn.push(lines), end: () => {} }),
        },
      },
    });
    if (abortAfterMs !== undefined) setTimeout(() => stop.abort(), abortAfterMs);
    const answer = await run(context, ['hearth-90'], { play: pattern, ...options }).finally(person.close);
    return { answer, drawn, notices: person.notices };
  }

  test('for the time stated, each light in words, without colour', async () => {
    const { answer, drawn, notices } = await play('receiving', { seconds: '1' });
    expect([answer.exit, answer.json.stopped, answer.json.slowedBy]).toEqual([0, false, 1]);
    expect(notices).toContain('Plays for 1 seconds; Ctrl-C ends it.');
    expect(drawn[0]).toEqual([
      '  RUN (green)  [      ]  dark',
      '  LINK (blue)  [######]  LIT, blue',
      '  FAULT (red)  [      ]  dark',
    ]);
    // Two flashes of a burst: on, off, on, off.
    expect(drawn).toHaveLength(4);
  });

  test('Ctrl-C ends it: exit 130', async () => {
    const { answer, drawn } = await play('broken-off', {}, 1200);
    expect([answer.exit, answer.json.stopped]).toEqual([130, true]);
    expect(drawn).toHaveLength(1);
  });

  test('seconds that are none', async () => {
    for (const seconds of ['0', '301', '1.5', 'x', '']) {
      await expect(play('receiving', { seconds })).rejects.toMatchObject({ facts: { code: 'seconds-form' } });
    }
  });
});
