// Who opened a site, played by hand over short histories: the rule is that the last opening step opens, and any closing
// step closes.

import { expect, test } from 'vitest';
import type { Product } from '../../../src/manifest/schema.ts';
import { openerOf } from '../../../src/procedure/open-site.ts';

const step = (id: string, oncePerSite: boolean) => ({ id, kind: 'do', oncePerSite });
const product = {
  procedure: [
    step('hub', true),
    step('tag', true),
    step('own', false),
    step('untag', true),
    step('hub-on', true),
  ],
} as unknown as Product;
const opener = (...done: string[]) =>
  openerOf(
    product,
    done.map((text) => {
      const [step = '', serial = ''] = text.split('@');
      return { step, serial };
    }),
  )?.serial;

test.each([
  ['nothing was done', [], undefined],
  ['begun, not all of it', ['hub@A'], undefined],
  ['opened', ['hub@A', 'tag@A'], 'A'],
  ['worked on', ['hub@A', 'tag@A', 'own@A', 'own@B'], 'A'],
  ['half closed', ['hub@A', 'tag@A', 'own@A', 'untag@B'], undefined],
  ['closed', ['hub@A', 'tag@A', 'untag@A', 'hub-on@A'], undefined],
  ['opened anew by another', ['hub@A', 'tag@A', 'untag@A', 'hub-on@A', 'hub@B', 'tag@B'], 'B'],
] as const)('%s', (_, done, expected) => {
  expect(opener(...done)).toBe(expected);
});
