// Who signs what is written to the register, and when. Unlike an outcome at a unit, a table may be taken in by a
// script: without a terminal and without --as the entry says that nobody was named.

import type { RegistrationSigner } from '../fleet/plan-registration.ts';
import { formatLocalTime } from '../words/local-time.ts';
import type { Context } from './context.ts';

export const nobodyNamed = 'not said';

export async function registerSigner(context: Context): Promise<RegistrationSigner> {
  const { clock, terminal } = context;
  const typedBy = context.typedBy ?? (terminal.interactive ? await context.requireTypedBy() : nobodyNamed);
  return { claimedAt: formatLocalTime(clock.now(), clock), typedBy, zone: clock };
}
