// The commands that deal with sites and with units that change theirs: names, arguments, options and help texts only.

import { siteFields } from '../../fleet/site-details.ts';
import type { CommandSpec, OptionSpec } from '../command.ts';
import { recordOption } from './record-option.ts';

const siteDetails: readonly OptionSpec[] = [
  { flags: '--address <text>', summary: 'the address of the site' },
  { flags: '--contact <text>', summary: 'whom to call there' },
  { flags: '--access <text>', summary: 'how to get in' },
];

export const siteCommands: readonly CommandSpec[] = [
  {
    name: 'units move',
    summary: 'a unit stands at another site now; its entries stay with it',
    positionals: [{ name: '<serial>', summary: 'as on its plate' }],
    options: [
      { flags: '--to <site>', summary: 'where it stands now' },
      { flags: '--new-site', summary: 'no unit was registered there before' },
      { flags: '--role <role>', summary: 'what it does there; else it keeps its role' },
      ...siteDetails,
      { flags: '--at <time>', summary: 'when it was moved, if not now: 2026-11-24T14:30' },
      { flags: '--by <name>', summary: 'who moved it, where that is not who types' },
      { flags: '--why <text>', summary: 'why' },
    ],
    exits: [7, 130],
    examples: [
      'slotproof units move TB8120001238 --to "Alder Farm" --role house',
      'slotproof units move TB8120001238 --to "Mill Acre" --new-site --at 2026-11-24',
    ],
    notes: [
      'What was said of the old site goes; address, contact and access are those',
      'that the units of the new site say. A name that is nearly that of a known site',
      'is never taken for it: it is asked, or --new-site says that it is another one.',
    ],
    load: () => import('../units-move.ts'),
  },
  {
    name: 'sites list',
    summary: 'list the sites and how their units stand',
    positionals: [],
    options: [{ flags: '--product <product>', summary: 'units of this product only' }, recordOption],
    exits: [7],
    examples: ['slotproof sites list'],
    load: () => import('../sites-list.ts'),
  },
  {
    name: 'sites show',
    summary: 'all that is known of one site, and which units stood there before',
    positionals: [{ name: '<site>', summary: 'its name' }],
    options: [recordOption],
    exits: [7, 130],
    examples: ['slotproof sites show "Alder Farm"'],
    load: () => import('../sites-show.ts'),
  },
  {
    name: 'sites change',
    summary: 'put right what is said of a site, for all its units at once',
    positionals: [{ name: '<site>', summary: 'its name' }],
    options: [
      { flags: '--name <site>', summary: 'its right name; no unit moves by it' },
      { flags: '--merge', summary: 'with --name: the site of that name is the same one' },
      ...siteDetails,
      {
        flags: '--clear <what...>',
        summary: 'this is not known, or no longer holds',
        choices: [...siteFields],
      },
    ],
    exits: [7, 130],
    examples: [
      'slotproof sites change "Alder Farm" --contact "Mx Reed, 14 to 16 h"',
      'slotproof sites change "Alder Frm" --name "Alder Farm" --merge',
    ],
    load: () => import('../sites-change.ts'),
  },
];
