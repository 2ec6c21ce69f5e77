// `units retire`: a unit is gone for good. Nothing is removed: its entries stay, audits no longer count it.

import { draftEntry } from '../record/entry.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { textOption } from './option-text.ts';
import { registerSigner } from './register-signer.ts';
import { requireRegisteredUnit } from './registered-unit.ts';

export async function run(
  context: Context,
  [serial = '']: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const why = textOption(options, 'why', '--why', 500);
  const unit = await requireRegisteredUnit(context, serial);
  const name = printable(unit.serial);
  if (unit.retired) {
    return {
      exit: 0,
      json: { serial: unit.serial, retired: true, entry: null },
      text: `${name} is retired already.`,
    };
  }
  const body = { serial: unit.serial, ...(why === undefined ? {} : { why }) };
  const draft = draftEntry('unit-retired', await registerSigner(context), body);
  const [entry] = await (await context.record('write')).append([draft]);
  return {
    exit: 0,
    json: { serial: unit.serial, retired: true, entry },
    text: `${name} is retired; its entries stay. units add brings it back.`,
  };
}
