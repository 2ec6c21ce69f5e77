// The table of commands: help, parsing and the checks that hold them equal are all made from it. Loads no
// command's code.

import type { CommandSpec } from './command.ts';
import { cardCommands } from './table/card.ts';
import { fleetCommands } from './table/fleet.ts';
import { procedureCommands } from './table/procedure.ts';
import { recordCommands } from './table/record.ts';
import { siteCommands } from './table/sites.ts';

const afterUnits = fleetCommands.findIndex((spec) => spec.name === 'audit');

/** In the order of the job: take in, prepare, go on site, record, audit. */
export const commandTable: readonly CommandSpec[] = [
  ...procedureCommands.filter((spec) => spec.name === 'demo'),
  ...cardCommands,
  ...procedureCommands.filter((spec) => ['sheet', 'visit', 'lights'].includes(spec.name)),
  ...fleetCommands.slice(0, afterUnits),
  ...siteCommands,
  ...fleetCommands.slice(afterUnits),
  ...recordCommands,
  ...procedureCommands.filter(
    (spec) => spec.name.startsWith('manifests') || ['doctor', 'completion'].includes(spec.name),
  ),
];

export const groupSummaries: Readonly<Record<string, string>> = {
  units: 'the register of units',
  sites: 'where units stand',
  record: 'the record itself',
  manifests: 'what makers say of products and releases',
};
