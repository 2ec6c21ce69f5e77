// One key, from a keyboard made here: which presses count, when, and what is left behind in every case.

import { EventEmitter } from 'node:events';
import { afterEach, beforeEach, expect, test, vi } from 'vitest';
import { type Keyboard, readKey, renderKeys } from '../../../src/ui/key-prompt.ts';

class FakeKeyboard extends EventEmitter implements Keyboard {
  raw = false;
  running = false;
  setRawMode(raw: boolean) {
    this.raw = raw;
  }
  resume() {
    this.running = true;
    return this;
  }
  pause() {
    this.running = false;
    return this;
  }
  press(text: string) {
    this.emit('data', new TextEncoder().encode(text));
  }
}

const choices = [
  { key: 'd', label: 'done', value: 'done' },
  { key: 's', label: 'stop', value: 'stop' },
  { key: 'Enter', label: 'read', value: 'read' },
];

let keyboard: FakeKeyboard;
let written: string;
let nowMs: number;
const write = (text: string) => {
  written += text;
};
const ask = (running?: Parameters<typeof readKey<string>>[2]) => {
  const facts = { keyboard, write, now: () => nowMs, columns: 60 };
  const answer = readKey(facts, choices, running);
  let settled: unknown;
  void answer.then((value) => {
    settled = value;
  });
  return { answer, settled: () => settled };
};
const pass = async (ms: number) => {
  nowMs += ms;
  await vi.advanceTimersByTimeAsync(ms);
};

beforeEach(() => {
  vi.useFakeTimers();
  keyboard = new FakeKeyboard();
  written = '';
  nowMs = 0;
});
afterEach(() => {
  expect([keyboard.raw, keyboard.running]).toEqual([false, false]);
  expect(keyboard.eventNames()).toEqual([]);
  expect(vi.getTimerCount()).toBe(0);
  vi.useRealTimers();
});

test.each([
  ['d', 'done'],
  ['D', 'done'],
  ['s', 'stop'],
  ['\r', 'read'],
  ['\n', 'read'],
])('%j is %s', async (key, value) => {
  const { answer } = ask();
  await pass(200);
  expect(keyboard.raw).toBe(true);
  keyboard.press(key);
  expect(await answer).toEqual({ kind: 'chosen', value });
});

test('keys that mean nothing, pasted text and arrows change nothing', async () => {
  const { answer, settled } = ask();
  await pass(200);
  for (const text of ['x', 'dd', 'done', '\u001b[A', '', ' ', 'd\r']) keyboard.press(text);
  await pass(1000);
  expect(settled()).toBeUndefined();
  keyboard.press('s');
  expect(await answer).toMatchObject({ value: 'stop' });
});

test('a key pressed before the choices were shown does not count', async () => {
  const { answer, settled } = ask();
  keyboard.press('d');
  await pass(20);
  keyboard.press('d');
  expect(written).toBe('');
  await pass(200);
  expect(written).toContain('  d      done\n');
  expect(settled()).toBeUndefined();
  keyboard.press('s');
  expect(await answer).toMatchObject({ value: 'stop' });
});

test.each(['\u0003', '\u0004', 'dd\u0003'])('%j leaves, even before the choices are shown', async (text) => {
  const early = ask();
  keyboard.press(text);
  expect(await early.answer).toEqual({ kind: 'left' });
  const late = ask();
  await pass(200);
  keyboard.press(text);
  expect(await late.answer).toEqual({ kind: 'left' });
});

test.each(['end', 'close'])('a terminal that goes away (%s) leaves', async (event) => {
  const { answer } = ask();
  await pass(200);
  keyboard.emit(event);
  expect(await answer).toEqual({ kind: 'left' });
});

test('a line runs meanwhile, is cleared, and answers by itself when it is over, with a sound', async () => {
  const { answer } = ask({
    line: (at) => `${Math.ceil((2000 - at) / 1000)} s left`,
    over: { atMs: 2000, value: 'over' },
  });
  await pass(200);
  expect(written).toContain('2 s left');
  for (let i = 0; i < 10; i += 1) await pass(200);
  expect(await answer).toEqual({ kind: 'chosen', value: 'over' });
  expect(written).toContain('1 s left');
  expect(written).toContain('\u0007');
  // The same text is not written twice.
  expect(written.match(/2 s left/g)).toHaveLength(1);
});

test('one that is over already answers at once; one that has no end never does', async () => {
  const over = ask({ line: () => '', over: { atMs: 0, value: 'over' } });
  await pass(100);
  expect(await over.answer).toMatchObject({ value: 'over' });
  const never = ask({ line: (at) => `${Math.floor(at / 1000)} s` });
  await pass(3600_000);
  expect(never.settled()).toBeUndefined();
  keyboard.press('d');
  expect(await never.answer).toMatchObject({ value: 'done' });
  expect(written).toMatch(/ {2}> done\n$/);
});

test('long labels wrap under themselves', () => {
  const label = 'The controller is awake, the contactors are open; may be writing; KEEP WATCHING';
  expect(renderKeys([{ key: '1', label, value: 1 }], 40).split('\n')).toEqual([
    '  1  The controller is awake, the',
    '     contactors are open; may be',
    '     writing; KEEP WATCHING',
  ]);
});
