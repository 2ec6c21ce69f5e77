import { expect, test } from 'vitest';
import { nearNames } from '../../../src/words/near-names.ts';

test('slips of the fingers, the nearest first; nothing that is far', () => {
  expect(nearNames('Aldr Farm', ['Elder Farm', 'Alder Farm', 'Brook End'])).toEqual([
    'Alder Farm',
    'Elder Farm',
  ]);
  expect(nearNames('x', ['Alder Farm'])).toEqual([]);
});
test.each([
  ['alder', ['Alder Farm', 'Elder Mill'], ['Alder Farm']],
  ['farm', ['Alder Farm', 'Farmstead'], ['Alder Farm']],
  ['rill', ['rill-40', 'rills'], ['rill-40', 'rills']],
  ['al', ['Al Creek'], []],
])('a name typed in part: %s', (typed, known, near) => {
  expect(nearNames(typed, known)).toEqual(near);
});
