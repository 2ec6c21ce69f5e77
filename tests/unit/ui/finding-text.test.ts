import { expect, test } from 'vitest';
import { renderFinding, renderFindings } from '../../../src/ui/finding-text.ts';
import type { Finding } from '../../../src/words/finding.ts';

const look = { columns: 40, colour: false };
const stop: Finding = {
  code: 'stray-file',
  severity: 'stop',
  summary: 'There are other files on the card; this unit takes one.',
  seen: 'A\u001b[2J.TXT',
  next: 'Run prepare.',
};

test('every line fits the window, the summary hangs behind its label', () => {
  const text = renderFinding(stop, look);
  expect(text).toBe(
    [
      '  STOP  There are other files on the',
      '        card; this unit takes one.',
      '        [stray-file]',
      '        seen: A\\x1b[2J.TXT',
      '        next: Run prepare.',
    ].join('\n'),
  );
});

test('the most important comes last', () => {
  const note: Finding = { ...stop, severity: 'note', code: 'a-note' };
  const codes = renderFindings([stop, note], look).match(/\[(a-note|stray-file)\]/g);
  expect(codes).toEqual(['[a-note]', '[stray-file]']);
});

test('colour is added to words, never in place of them', () => {
  const coloured = renderFinding(stop, { columns: 40, colour: true });
  expect(coloured).toContain('\u001b[');
  expect(coloured.replace(/\u001b\[\d+m/g, '')).toBe(renderFinding(stop, look));
});

test('many with the same words: the first in full, then the places', () => {
  const at = (where: string, seen = 'no .sig file'): Finding => ({
    code: 'unsigned',
    severity: 'stop',
    summary: 'The manifest is not signed.',
    seen,
    where,
    next: `sign ${where}`,
  });
  const look = { columns: 60, colour: false };
  const three = renderFindings(
    ['a', 'b', 'c'].map((name) => at(name)),
    look,
  );
  expect(three.match(/next:/g)).toHaveLength(3);
  const many = renderFindings(
    Array.from({ length: 30 }, (_, i) => at(`/m/${i}.yaml`)),
    look,
  );
  expect(many.match(/next:/g)).toHaveLength(1);
  expect(many.match(/the same:/g)).toHaveLength(21);
  expect(many).toContain('the same: and at 9 more places (--json lists all)');
  // What is another is told in full, wherever it stands.
  const mixed = renderFindings(
    [...['a', 'b', 'c', 'd'].map((name) => at(name)), at('e', 'an empty one')],
    look,
  );
  expect(mixed.match(/next:/g)).toHaveLength(2);
});
