// From a serial as typed to the unit of the register that is meant. Capitals and blanks are corrected; a near
// miss is offered, never taken by itself.

import { nearSerials } from '../fleet/near-serials.ts';
import { readSerial } from '../fleet/serial.ts';
import type { RecordStore } from '../ports/record-store.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { Failure } from '../words/failure.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';

/** The unit, retired or not; Failure `unit-unknown` (exit 2) with near misses where it is not registered. */
export async function requireRegisteredUnit(context: Context, text: string): Promise<UnitRecord> {
  const store = await context.record('read');
  const unit = store === undefined ? undefined : await findRegisteredUnit(context, store, text);
  if (unit !== undefined) return unit;
  const scanned = store === undefined ? undefined : await ofSeveralReadings(context, store, text);
  if (scanned !== undefined) return scanned;
  const near = store === undefined ? [] : await nearSerials(text.trim(), (texts) => store.serialsFrom(texts));
  if (near.length > 0 && context.terminal.interactive && store !== undefined) {
    const chosen = await context.terminal.choose(
      `${printable(text, 60)} is not registered. Which unit is meant?`,
      [...near.map((serial) => ({ value: serial, label: serial })), { value: '', label: 'none of these' }],
      'SERIAL',
    );
    const meant = chosen === '' ? undefined : await store.unit(chosen);
    if (meant !== undefined) return meant;
  }
  throw new Failure({
    code: 'unit-unknown',
    exit: 2,
    summary: 'This serial is not registered.',
    seen: printable(text, 80),
    ...(near.length === 0 ? {} : { expected: near.map((serial) => printable(serial)).join(' or ') }),
    next:
      near.length === 0
        ? 'Compare it with the plate; register the unit with slotproof units add SERIAL.'
        : `Compare it with the plate: did you mean ${printable(near[0]!)}?`,
  });
}

/** A scanned code that can be read in several ways: the one registered unit among them, else the person is asked. */
async function ofSeveralReadings(
  context: Context,
  store: RecordStore<UnitRecord>,
  text: string,
): Promise<UnitRecord | undefined> {
  const reading = readSerial(text, (await context.catalogue()).products.values());
  if (reading.ok || reading.choices === undefined) return undefined;
  const units = (await Promise.all(reading.choices.map((serial) => store.unit(serial)))).filter(
    (unit) => unit !== undefined,
  );
  if (units.length < 2) return units[0];
  const choices = units.map((unit) => ({
    value: unit,
    label: `${unit.serial}  ${printable(unit.site ?? '', 80)}`,
  }));
  return await context.terminal.choose(
    'The code can be read in several ways. Which unit is meant?',
    choices,
    'SERIAL',
  );
}

/** The unit to work on, asked for where it was not given; a retired one is refused. */
export async function requireUnitInService(context: Context, text: string | undefined): Promise<UnitRecord> {
  const serial = text ?? (await context.terminal.text('Which unit? Its serial, as on the plate', 'SERIAL'));
  const unit = await requireRegisteredUnit(context, serial);
  if (!unit.retired) return unit;
  throw new Failure({
    code: 'unit-retired',
    exit: 2,
    summary: 'This unit is retired.',
    seen: printable(unit.serial),
    next: `If it is in service, bring it back first: slotproof units add ${printable(unit.serial)}.`,
  });
}

/** As typed, or in the capitals that its product's serials have; nothing is asked, no near one is taken. */
export async function findRegisteredUnit(
  context: Context,
  store: RecordStore<UnitRecord>,
  text: string,
): Promise<UnitRecord | undefined> {
  const exact = await store.unit(text.trim());
  if (exact !== undefined) return exact;
  const reading = readSerial(text, (await context.catalogue()).products.values());
  return reading.ok ? await store.unit(reading.serial) : undefined;
}
