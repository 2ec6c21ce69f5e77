// What an outcome from outside must look like before anything is made of it: every text and list bounded. Loaded by
// the laptop alone. Whether words such as a pattern or a version fit the product is judged where the product is known.

import * as z from 'zod';
import { deferralReasons, failureCauses, leftStates, outcomeKinds } from '../../procedure/outcome-words.ts';
import type { DoneStep } from '../../procedure/walk/walk.ts';
import type { FiledOutcome } from './outcome.ts';

const text = (most: number) =>
  z
    .string()
    .min(1)
    .max(most)
    .refine((value) => !/\p{Surrogate}/u.test(value), { error: 'half of a character' });
/** An absent name is absent: undefined is none of its values. */
const may = z.exactOptional;

const fact = z.union([
  z.string().max(2000),
  z.number(),
  z.boolean(),
  z.null(),
  z.array(z.union([z.string().max(2000), z.number()])).max(200),
  z.record(z.string().max(64), z.string().max(64)),
]);

const step: z.ZodType<DoneStep> = z.object({
  part: z.enum(['before', 'procedure', 'resume', 'after']),
  step: text(64),
  result: text(64),
  pattern: may(text(64)),
  atMs: z.int().min(0).max(8.64e15),
  positions: z.record(z.string().max(64), z.string().max(64)),
  facts: z.record(z.string().max(64), fact),
});

export const outcomeSchema: z.ZodType<FiledOutcome> = z.object({
  sheet: text(20),
  row: z.int().min(1).max(200),
  serial: text(64),
  outcome: z.enum(outcomeKinds),
  at: z.iso.datetime({ offset: true }),
  by: text(80),
  versionBefore: may(text(64)),
  versionRead: may(text(64)),
  displayConfirmed: may(z.literal(true)),
  lights: may(text(64)),
  left: may(z.enum(leftStates)),
  reason: may(z.enum(deferralReasons)),
  cause: may(z.enum(failureCauses)),
  revision: may(text(64)),
  card: may(text(120)),
  case: may(text(80)),
  told: may(text(80)),
  note: may(text(2000)),
  steps: may(z.array(step).max(5000)),
  takenBack: may(z.int().min(1).max(5000)),
});
