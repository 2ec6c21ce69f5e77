// Lights and the patterns they show: on, off, flashing at a rate, in bursts, running along, or a display text.
// Says how a pattern is written and what it is once parsed; whether two can be told apart is not decided here.

import * as z from 'zod';
import { asText, asValue } from './plain-scalar.ts';
import { duration, integer, list, matching, name, number, strict, text, truth } from './schema-parts.ts';

export interface Light {
  readonly id: string;
  /** As printed on the equipment. */
  readonly label: string;
  /** One, or two for a two-colour light. */
  readonly colours: readonly string[];
}

/** What one light does. `colour` stands exactly where the light has two and is not off. */
export type LightShow =
  | { readonly kind: 'off' }
  | { readonly kind: 'on'; readonly colour?: string }
  | { readonly kind: 'flash'; readonly perMinute: number; readonly colour?: string }
  | {
      readonly kind: 'burst';
      readonly burst: number;
      readonly pauseSeconds: number;
      readonly colour?: string;
    };

/** One light after the other, again and again. */
export interface Sweep {
  readonly lights: readonly string[];
  readonly stepSeconds: number;
}

export interface Shows {
  /** Light -> what it does. Lights that stand neither here nor in `sweep` are off. Empty where `display` is given. */
  readonly lights: Readonly<Record<string, LightShow>>;
  readonly sweep?: Sweep;
  /** The text that the display shows, in place of lights. */
  readonly display?: string;
}

export interface Pattern {
  readonly id: string;
  readonly means: string;
  /** The unit may be writing while it shows this. */
  readonly busy: boolean;
  readonly shows: Shows;
}

const colour = matching(/^[a-z][a-z -]{0,19}$/, 'a colour in lower-case letters');

export const light = strict({
  id: name,
  label: text(40),
  colour: z
    .union([colour, list(colour, 'colours', 2, 2)], { error: 'a colour, or a list of two' })
    .meta({ description: 'a list of two for a two-colour light' }),
}).transform(
  (written): Light => ({
    id: written.id,
    label: written.label,
    colours: typeof written.colour === 'string' ? [written.colour] : written.colour,
  }),
);

function coloured(written: { colour?: string | undefined }): { colour?: string } {
  return written.colour === undefined ? {} : { colour: written.colour };
}

// `on` and `off` are text in YAML 1.2, whatever older tools make of them.
const onOff = z.preprocess(asText, z.enum(['on', 'off'])).transform((kind): LightShow => ({ kind }));
const steady = strict({ colour }).transform((written): LightShow => ({ kind: 'on', colour: written.colour }));
const flash = strict({ perMinute: number(1, 1200), colour: colour.optional() }).transform(
  (written): LightShow => ({ kind: 'flash', perMinute: written.perMinute, ...coloured(written) }),
);
const burst = strict({ burst: integer(1, 20), pause: duration, colour: colour.optional() }).transform(
  (written): LightShow => ({
    kind: 'burst',
    burst: written.burst,
    pauseSeconds: written.pause,
    ...coloured(written),
  }),
);

const lightShow = z.union([onOff, flash, burst, steady], {
  error: 'on, off, { perMinute: 60 } or { burst: 3, pause: 2s }, with a colour where the light has two',
});

/** Words of the format, so no light may be called so. */
export const reservedLightNames = ['sweep', 'step', 'display'] as const;

const shows = z.preprocess(
  asValue,
  z
    .object(
      {
        sweep: list(name, 'lights', 2, 32).optional(),
        step: duration.optional(),
        display: text(80).optional(),
      },
      { error: 'a mapping of lights and what they do' },
    )
    .catchall(lightShow)
    .transform((written, ctx): Shows => {
      const { sweep, step, display, ...rest } = written;
      const lights = rest as Record<string, LightShow>;
      const fault = showsFault(sweep !== undefined, step !== undefined, display !== undefined, lights);
      if (fault !== undefined) {
        ctx.addIssue({ code: 'custom', message: fault });
        return z.NEVER;
      }
      return {
        lights,
        ...(sweep !== undefined && step !== undefined && { sweep: { lights: sweep, stepSeconds: step } }),
        ...(display !== undefined && { display }),
      };
    }),
);

function showsFault(
  sweep: boolean,
  step: boolean,
  display: boolean,
  lights: Record<string, LightShow>,
): string | undefined {
  const count = Object.keys(lights).length;
  if (sweep !== step) return 'sweep and step together';
  if (display && (sweep || count > 0)) return 'either a display text or lights';
  if (count > 32) return 'at most 32 lights';
  return undefined;
}

export const pattern = strict({ id: name, means: text(200), busy: truth.optional(), shows }).transform(
  (written): Pattern => ({
    id: written.id,
    means: written.means,
    busy: written.busy ?? false,
    shows: written.shows,
  }),
);
