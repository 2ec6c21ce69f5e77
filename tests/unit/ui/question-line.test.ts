import { expect, test } from 'vitest';
import { questionLine } from '../../../src/ui/question-line.ts';

test('how to leave follows where there is room, else stands below, whole', () => {
  const question = 'Does the display really show 26.0, and was it read twice?';
  expect(questionLine(question, 100)).toBe(`${question} (Ctrl-C leaves)`);
  for (const columns of [40, 60, 72]) {
    const lines = questionLine(question, columns).split('\n');
    expect(lines.at(-1)).toBe('  (Ctrl-C leaves)');
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(columns);
    expect(lines.slice(0, -1).join(' ')).toBe(question);
  }
});
