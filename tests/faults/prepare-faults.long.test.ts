// Faults at every write of `prepare` on every card, with several ways for power to die.

import { expect, it } from 'vitest';
import { playFaults } from '../support/fault-loop.ts';
import { makeGround } from '../support/fault-run.ts';
import { allScenarios } from '../support/fault-scenarios.ts';
import { faultKinds } from '../support/faulty-blocks.ts';

it.each(allScenarios)('$name', async (scenario) => {
  expect(await playFaults(makeGround(scenario), faultKinds, [1, 2, 3, 4, 5, 6, 7, 8])).toBeGreaterThan(1);
});
