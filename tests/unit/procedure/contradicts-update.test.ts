// Which lights speak against an update, for the demo products, as their procedures read.

import { expect, test } from 'vitest';
import { contradictsUpdate } from '../../../src/procedure/contradicts-update.ts';
import { demoCatalogue } from '../../support/demo-world.ts';

const { products } = demoCatalogue();

test.each([
  ['hearth-90', 'complete', false],
  ['hearth-90', 'in-service', false],
  ['hearth-90', 'refused', true],
  ['hearth-90', 'broken-off', true],
  ['hearth-90', 'writing', true],
  ['hearth-90', 'receiving', true],
  ['hearth-90', 'dark', true],
  ['weir-18', 'taken-in', false],
  ['weir-18', 'taking-in', true],
  ['weir-18', 'stuck', true],
])('%s, lights %s: %s', (product, pattern, contradicts) => {
  expect(contradictsUpdate(products.get(product)!, pattern)).toBe(contradicts);
});
