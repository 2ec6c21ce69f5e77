// The pump drive, a release of it and a view of its sheet, for the tests of the sheet. Only what a test is about
// needs to be said.

import { type Product, type Release, releaseSchema } from '../../../src/manifest/schema.ts';
import { procedureTimes } from '../../../src/procedure/procedure-times.ts';
import { type SheetInput, type SheetUnit, type SheetView, sheetView } from '../../../src/sheet/sheet-view.ts';
import { productOf, pumpSteps, steps, type Written, writtenProduct } from '../procedure/written-product.ts';

function pumpChanges(changes: Written): Written {
  return {
    source: { document: 'Rill 40 service book', issue: 'C', page: '41' },
    revision: 3,
    writtenBy: 'service lead',
    checkedBy: 'second lead',
    helpline: { phone: '+00 555 0134', hours: '07-19 UTC' },
    hazards: ['stored-charge', 'pv-dc'],
    hardware: ['B', 'C', 'D'],
    procedure: pumpSteps(),
    ...changes,
  };
}

export function pump(changes: Written = {}): Product {
  return productOf(pumpChanges(changes));
}

/** The same as its manifest writes it: what a judge of paper goes by. */
export function writtenPump(changes: Written = {}): Written {
  return writtenProduct(pumpChanges(changes));
}

/** A product of ten steps, which has one way to succeed and one to fail. */
export const simpleProduct: Written = {
  hazards: ['mains-ac'],
  procedure: steps(`
- { id: stop, do: Stop the pump and open the isolator, sets: { array: isolated }, takes: 4min }
- { id: discharge, wait: 7min, orPlate: true, why: Its capacitors hold a charge }
- { id: insert, do: Slide the card in, needs: { array: isolated }, sets: { card: in } }
- { id: look, watch: { loading: look, taken: take-out, turned-down: refused }, within: 25min, late: refused, unlisted: refused }
- { id: take-out, do: Slide the card out by its tab, sets: { card: out } }
- { id: after, read: version, where: Display, other: refused, unreadable: refused }
- { id: restart, do: Close the array isolator, sets: { array: connected } }
- { id: finished, end: updated }
- { id: refused, do: Leave everything as it is and call the helpline }
- { id: ended-badly, end: failed, leaves: { array: isolated, card: in } }
`),
};

export function releaseOf(changes: Written = {}): Release {
  return releaseSchema.parse({
    manifest: 'release',
    format: 1,
    product: 'rill-40',
    version: '4.2.0',
    sequence: 17,
    issued: '2026-10-01',
    priority: 'required',
    hardware: ['B', 'C'],
    from: { atLeast: '3.8.0', below: '4.2.0' },
    image: { name: 'RILL40.FWU', bytes: 18874368, digests: { sha256: 'ab'.repeat(32) } },
    resets: ['bus address', 'speed limit'],
    ...changes,
  });
}

export function unitOf(serial: string, changes: Partial<SheetUnit> = {}): SheetUnit {
  return {
    serial,
    hardware: 'B',
    site: 'Low Meadow',
    version: null,
    left: null,
    failedOn: null,
    unread: null,
    details: {},
    ...changes,
  };
}

export function viewOf(changes: Partial<SheetInput> = {}): SheetView {
  const product = changes.product ?? pump();
  return sheetView({
    number: 'K7MD-29XH',
    language: 'en',
    product,
    release: releaseOf(),
    units: [unitOf('TRB12345674')],
    made: { day: '2026-10-03', time: '18:05', by: 'Wren' },
    times: procedureTimes(product),
    gapsChecked: true,
    dayEnds: null,
    news: { day: '2026-10-02', daysOld: 1 },
    mark: null,
    ...changes,
  });
}
