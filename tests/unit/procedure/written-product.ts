// Products for the tests of the procedure, in the written form of a manifest: only what a test is about needs
// to be said. Everything goes through the published schema, so a test cannot use what no manifest can say.

import { parse } from 'yaml';
import { type Product, productSchema } from '../../../src/manifest/schema.ts';

export type Written = Record<string, unknown>;
export type WrittenStep = Written & { id: string };

const plain: Written = {
  manifest: 'product',
  format: 1,
  id: 'rill-40',
  maker: 'Tarnholt',
  name: 'Rill 40 pump drive',
  hazards: ['stored-charge'],
  hardware: ['A'],
  serial: { pattern: '^TR[0-9]{8}$' },
  versions: 'dotted',
  card: { fileSystems: ['fat32'], partitionTables: ['mbr'], capacity: { min: '1GB', max: '32GB' } },
  lights: [
    { id: 'pump', label: 'PUMP', colour: 'green' },
    { id: 'data', label: 'DATA', colour: 'white' },
    { id: 'halt', label: 'HALT', colour: 'yellow' },
  ],
  patterns: [
    {
      id: 'loading',
      means: 'Takes the new firmware in',
      busy: true,
      shows: { data: { burst: 2, pause: '1s' } },
    },
    { id: 'taken', means: 'Taken in and checked', shows: { data: 'on', pump: 'on' } },
    { id: 'turned-down', means: 'Not accepted', shows: { halt: { perMinute: 100 } } },
  ],
  positions: {
    array: { states: ['connected', 'isolated'], starts: 'connected', ends: 'connected' },
    supply: { states: ['off', 'on'], starts: 'off', ends: 'off' },
    flap: { states: ['shut', 'open'], starts: 'shut', ends: 'shut' },
    card: { states: ['out', 'in'], starts: 'out', ends: 'out' },
  },
  never: [{ when: { card: 'in', array: 'connected' }, why: 'The pump could start on half-written firmware' }],
  whileBusy: { card: 'in', supply: 'on' },
  serves: ['The pump starts and stops from the panel', 'Flow and pressure are as before', 'No message'],
};

/** The pump drive, with these keys in place of its own. `procedure` has to be given. */
export function writtenProduct(changes: Written): Written {
  return { ...structuredClone(plain), ...changes };
}

export function productOf(changes: Written): Product {
  return productSchema.parse(writtenProduct(changes));
}

/** Steps as a manifest writes them: a YAML list. */
export function steps(yaml: string): WrittenStep[] {
  return (parse(yaml) ?? []) as WrittenStep[];
}

/** The steps of the pump drive, sound as they stand. */
export const pumpSteps = (): WrittenStep[] =>
  steps(`
- { id: stop, do: Stop the pump and open the isolator, sets: { array: isolated }, takes: 4min }
- { id: discharge, wait: 7min, orPlate: true, why: Its capacitors hold a charge }
- { id: dead, measure: { what: DC link voltage, between: [plus and minus, plus and earth, minus and earth], in: V, from: -50, to: 50, proveMeter: true }, otherwise: live }
- { id: feed, do: Plug in the 24 V service supply, sets: { supply: on } }
- { id: lift, do: Lift the flap below the display, needs: { array: isolated }, sets: { flap: open } }
- { id: insert, do: Slide the card in, needs: { flap: open, supply: on }, sets: { card: in } }
- { id: start, hold: LOAD, for: [6s, 9s] }
- id: look
  watch: { loading: look, taken: take-out, turned-down: again }
  within: 25min
  late: leave-alone
  unlisted: leave-alone
- { id: again, do: Slide the card out and in again, then: start, tries: 1, otherwise: take-out-failed }
- { id: take-out, do: Slide the card out by its tab, sets: { card: out } }
- { id: after, read: version, where: Display, other: lower-failed, unreadable: lower }
- { id: lower, do: Lower the flap, needs: { card: out }, sets: { flap: shut } }
- { id: unplug, do: Unplug the service supply, sets: { supply: off } }
- { id: restart, do: Close the array isolator, sets: { array: connected } }
- { id: serving, confirm: serves, otherwise: not-serving }
- { id: finished, end: updated }
- { id: take-out-failed, do: Slide the card out by its tab, sets: { card: out } }
- { id: lower-failed, do: Lower the flap, sets: { flap: shut } }
- { id: unplug-failed, do: Unplug the service supply, sets: { supply: off }, then: ended-badly }
- { id: not-serving, do: Stop it and isolate it, sets: { array: isolated } }
- { id: ended-badly, end: failed, leaves: { array: isolated } }
- { id: leave-alone, do: Leave the card and the supply alone and call the helpline }
- { id: ended-busy, end: failed, leaves: { array: isolated, supply: on, flap: open, card: in } }
- { id: live, do: Treat it as live }
- { id: not-begun, end: deferred, leaves: { array: isolated } }
`);
