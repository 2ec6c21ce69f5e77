// Where a new entry goes, against a judge that tries every place on small folders.

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { type FolderRoom, type Occupant, planPlace } from '../../../../src/card/tidy/folder-room.ts';
import { checkSeeded } from '../../../support/seeded.ts';

const entry = (firstSlot: number, lastSlot = firstSlot, movable = true): Occupant => ({
  firstSlot,
  lastSlot,
  movable,
});
const room = (slotCount: number, occupants: readonly Occupant[], growableSlots = 0): FolderRoom => ({
  slotCount,
  occupants,
  vacating: [],
  growableSlots,
});

it('takes the earliest slots that are free together', () => {
  expect(planPlace(room(16, []), 1, 0)).toEqual({ slot: 0, moves: [], slotCount: 16 });
  expect(planPlace(room(16, [entry(0), entry(2, 4)]), 1, 0)?.slot).toBe(1);
  expect(planPlace(room(16, [entry(0), entry(2, 4)]), 2, 0)?.slot).toBe(5);
  expect(planPlace(room(4, [entry(0, 3)]), 1, 0)).toBeUndefined();
  expect(planPlace(room(4, [entry(0, 3)], 16), 1, 0)).toEqual({ slot: 4, moves: [], slotCount: 5 });
});

it('moves entries only where the image would come too late, and never `.` and `..`', () => {
  expect(planPlace(room(16, [entry(0)]), 1, 2)).toEqual({ slot: 1, moves: [], slotCount: 16 });
  expect(planPlace(room(16, [entry(0)]), 1, 1)).toEqual({
    slot: 0,
    moves: [{ occupant: entry(0), toSlot: 1 }],
    slotCount: 16,
  });
  const dots = entry(0, 1, false);
  expect(planPlace(room(16, [dots, entry(2, 4), entry(5)]), 1, 6)).toMatchObject({
    slot: 5,
    moves: [{ toSlot: 6 }],
  });
  expect(planPlace(room(16, [dots]), 1, 2)).toBeUndefined();
  expect(planPlace(room(4, [entry(0, 3)]), 1, 1)).toBeUndefined();
});

it('puts what moves nowhere that is still given up', () => {
  const vacating = [entry(1)];
  expect(planPlace({ ...room(16, [entry(0)]), vacating }, 1, 1)?.moves).toEqual([
    { occupant: entry(0), toSlot: 2 },
  ]);
  // For the new entry itself those slots are free.
  expect(planPlace({ ...room(16, [entry(0)]), vacating }, 1, 2)?.slot).toBe(1);
});

const randomRoom = fc
  .array(fc.tuple(fc.integer({ min: 1, max: 3 }), fc.integer({ min: 0, max: 2 })), { maxLength: 6 })
  .map((parts) => {
    const occupants: Occupant[] = [];
    let at = 0;
    for (const [length, gap] of parts) {
      occupants.push(entry(at + gap, at + gap + length - 1));
      at += gap + length;
    }
    return room(Math.max(at, 1) + 2, occupants);
  });

it('agrees with trying every place', async () => {
  const property = fc.property(
    randomRoom,
    fc.integer({ min: 1, max: 3 }),
    fc.integer({ min: 0, max: 8 }),
    (made, slots, within) => {
      const isTaken = (slot: number, but: readonly Occupant[] = []) =>
        made.occupants.some((one) => !but.includes(one) && one.firstSlot <= slot && slot <= one.lastSlot);
      const free = Array.from({ length: made.slotCount - slots + 1 }, (_, from) => from).filter((from) =>
        Array.from({ length: slots }, (_, i) => from + i).every((slot) => !isTaken(slot)),
      );
      const inTime = free.filter((from) => within === 0 || from + slots <= within);
      const place = planPlace(made, slots, within);
      if (inTime.length > 0)
        expect(place).toEqual({ slot: Math.min(...inTime), moves: [], slotCount: made.slotCount });
      else if (within === 0) expect(place).toBeUndefined();
      else if (place !== undefined) {
        // Nothing overlaps anything, before or after.
        const used = new Set<number>();
        const use = (from: number, count: number) => {
          for (let slot = from; slot < from + count; slot++) {
            expect(used.has(slot) || slot >= made.slotCount).toBe(false);
            used.add(slot);
          }
        };
        use(place.slot, slots);
        expect(place.slot + slots).toBeLessThanOrEqual(within);
        const moved = place.moves.map((move) => move.occupant);
        for (const { occupant, toSlot } of place.moves) {
          const count = occupant.lastSlot - occupant.firstSlot + 1;
          use(toSlot, count);
          for (let i = 0; i < count; i++) expect(isTaken(toSlot + i)).toBe(false);
        }
        for (const one of made.occupants)
          if (!moved.includes(one)) use(one.firstSlot, one.lastSlot - one.firstSlot + 1);
      }
    },
  );
  await checkSeeded('tests/unit/card/folder-room.test.ts', 2000, property);
});
