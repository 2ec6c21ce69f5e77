// The commands that deal with units and what became of them: names, arguments, options and help texts only.

import { tableEncodings } from '../../fleet/table-encodings.ts';
import { outcomeKinds } from '../../procedure/outcome-words.ts';
import type { CommandSpec, OptionSpec } from '../command.ts';
import { recordOption } from './record-option.ts';

const encodingOf = (what: string): OptionSpec => ({
  flags: '--encoding <name>',
  summary: `what ${what} is in, where that is neither UTF-8 nor UTF-16`,
  choices: [...tableEncodings],
});

export const fleetCommands: readonly CommandSpec[] = [
  {
    name: 'log',
    summary: 'log the outcome at one unit',
    positionals: [
      { name: '[serial]', summary: 'the unit, as on its plate' },
      {
        name: '[outcome]',
        summary: 'updated, failed, deferred or already-current; or note',
        offers: [...outcomeKinds, 'note'],
      },
    ],
    options: [
      {
        flags: '--release <release>',
        summary: 'the release that was carried there; else the next on its path',
      },
      { flags: '--version-before <version>', summary: 'the version on its display before' },
      { flags: '--version-read <version>', summary: 'the version read from the unit afterwards' },
      { flags: '--lights <pattern>', summary: 'what its lights showed, where no version could be read' },
      {
        flags: '--left <how>',
        summary: 'how the unit was left',
        choices: ['running', 'off', 'locked-off', 'no-life'],
      },
      {
        flags: '--reason <reason>',
        summary: 'why it was deferred',
        choices: ['no-access', 'refused', 'no-time', 'unsafe', 'wrong-hardware', 'no-card', 'other'],
      },
      {
        flags: '--cause <cause>',
        summary: 'what it failed on',
        choices: ['release', 'card', 'unit', 'site', 'safety'],
      },
      { flags: '--card <name>', summary: 'the card that was used' },
      { flags: '--by <name>', summary: 'who did the work, where that is not who types' },
      { flags: '--at <time>', summary: 'when, if not now: 2026-11-24T14:30' },
      {
        flags: '--photo <file>',
        summary: 'a photo of the plate or the display; a copy is kept; may be given again',
        repeats: true,
      },
      { flags: '--case <number>', summary: "the helpline's case number" },
      { flags: '--told <name>', summary: 'whom at the site you told' },
      { flags: '--note <text>', summary: 'anything else' },
      {
        flags: '--sheet <number>',
        summary: 'without a serial: asks every row of this sheet, from paper; with one: its row there',
      },
      { flags: '--again', summary: 'with --sheet: rows that were logged from it before, too' },
      { flags: '--answers <file>', summary: 'with --sheet: the rows from a file, one JSON object a line' },
      {
        flags: '--corrects <id>',
        summary: 'the entry that was wrong; say only what is to be different, and --why. Both stay on record',
      },
      { flags: '--void', summary: 'with --corrects: it does not count at all' },
      { flags: '--why <text>', summary: 'with --corrects: what was wrong' },
    ],
    exits: [4, 7, 130],
    examples: [
      'slotproof log TB8120001238 updated --version-read 2.6.0 --as "R. Quill"',
      'slotproof log TB8120001238 failed --cause unit --left locked-off --case 4471',
      'slotproof log --sheet K7MD-29XH --photo paper.jpg',
      'slotproof log --corrects k7mq4rt2-17 --version-read 4.2.0 --why "misread"',
      'slotproof log TB8120001238 note --note "door sticks" --photo door.jpg',
    ],
    notes: [
      'Rows of --answers, by row or by serial; what the row does not say is left out:',
      '  {"row":1,"outcome":"updated","versionRead":"2.6.0","lights":"complete"}',
      '  {"serial":"TB8120001238","outcome":"failed","left":"locked-off"}',
      'Also: versionBefore, displayConfirmed (true), reason, card, case, told, by,',
      'at, note.',
      'A note is of a unit, of a card (--card), of a release (--release), or of none',
      'of them: slotproof log note --note TEXT. It changes no status.',
    ],
    load: () => import('../log.ts'),
  },
  {
    name: 'collect',
    summary: 'take in what pocket pages tell, and result files that units left on cards',
    positionals: [
      {
        name: '[path...]',
        summary: "a pocket page's file, a text with its QR codes or codes, a card, or a folder of these",
      },
    ],
    options: [
      { flags: '--code <code>', summary: 'a code as it was read out; may be given again', repeats: true },
      { flags: '--sheet <number>', summary: 'take in only what is of this sheet' },
      { flags: '--unit <serial>', summary: 'take in only what is of this unit' },
      { flags: '--by <name>', summary: 'who was on site, for codes and cards, which do not say it' },
      {
        flags: '--at <time>',
        summary: 'when it was: for codes and cards, or where a phone has a wrong clock',
      },
    ],
    exits: [3, 4, 7, 130],
    examples: [
      'slotproof collect K7MD-29XH_TB8120001238.json --as "R. Quill"',
      'slotproof collect card.img',
      'slotproof collect --code "K7MD 29XH CC4T HW3P" --by "M. Tansy" --at 14:30',
    ],
    load: () => import('../collect.ts'),
  },
  {
    name: 'units import',
    summary: 'take units in from a table',
    positionals: [{ name: '[file]', summary: 'CSV with the header serial,site,product,hardware,version' }],
    options: [
      { flags: '--map <field=column...>', summary: 'which column holds a field, where the header differs' },
      { flags: '--dry-run', summary: 'tell what would change, change nothing' },
      { flags: '--strict', summary: 'all lines or none: one that is refused stops them all' },
      {
        flags: '--dates <form>',
        summary: 'how versionReadOn is written, where that is not 2026-10-01: DD.MM.YYYY',
      },
      encodingOf('the table'),
    ],
    exits: [3, 4, 7, 130],
    examples: [
      'slotproof units import fleet.csv --dry-run',
      'slotproof units import fleet.csv --dates DD.MM.YYYY --strict',
      'slotproof units import fleet.csv --map serial=SN',
    ],
    load: () => import('../units-import.ts'),
  },
  {
    name: 'units export',
    summary: 'the register as a table, in the form that "units import" takes',
    positionals: [{ name: '[file]', summary: 'a new CSV file; without it the table is printed' }],
    options: [
      { flags: '--product <product>', summary: 'of this product only' },
      { flags: '--site <site>', summary: 'at this site only' },
      { flags: '--retired', summary: 'retired ones too' },
      recordOption,
    ],
    exits: [7],
    examples: ['slotproof units export fleet.csv'],
    load: () => import('../units-export.ts'),
  },
  {
    name: 'units add',
    summary: 'add one unit',
    positionals: [{ name: '<serial>', summary: 'as on its plate' }],
    options: [
      { flags: '--site <site>', summary: 'where it stands' },
      { flags: '--product <product>', summary: 'its product; may be left out where the serial tells' },
      {
        flags: '--hardware <revision>',
        summary: 'its hardware revision; may be left out where the serial tells',
      },
      { flags: '--version <version>', summary: 'the version somebody said it has (reported)' },
      { flags: '--version-read-on <date>', summary: 'when that version was read (2026-10-01)' },
      { flags: '--role <role>', summary: 'what it does at the site' },
      { flags: '--address <text>', summary: 'the address of the site' },
      { flags: '--contact <text>', summary: 'whom to call there' },
      { flags: '--access <text>', summary: 'how to get in' },
      { flags: '--notes <text>', summary: 'anything else' },
    ],
    exits: [7],
    examples: ['slotproof units add TB8120001238 --site "Alder Farm"'],
    load: () => import('../units-add.ts'),
  },
  {
    name: 'units list',
    summary: 'list the units',
    positionals: [],
    options: [
      { flags: '--product <product>', summary: 'of this product only' },
      { flags: '--site <site>', summary: 'at this site only' },
      { flags: '--retired', summary: 'retired ones too' },
      recordOption,
    ],
    exits: [7],
    examples: ['slotproof units list --site "Alder Farm"'],
    load: () => import('../units-list.ts'),
  },
  {
    name: 'units show',
    summary: 'all that is known of one unit',
    positionals: [{ name: '<serial>', summary: 'as on its plate' }],
    options: [recordOption],
    exits: [7],
    examples: ['slotproof units show TB8120001238'],
    load: () => import('../units-show.ts'),
  },
  {
    name: 'units retire',
    summary: 'a unit is gone for good; its entries stay',
    positionals: [{ name: '<serial>', summary: 'as on its plate' }],
    options: [{ flags: '--why <text>', summary: 'what became of it' }],
    exits: [7],
    examples: ['slotproof units retire TB8120001238 --why "scrapped after the flood"'],
    load: () => import('../units-retire.ts'),
  },
  {
    name: 'units exempt',
    summary: 'a unit need not be updated, and why',
    positionals: [{ name: '<serial>', summary: 'as on its plate' }],
    options: [
      { flags: '--why <text>', summary: 'the reason' },
      { flags: '--until <date>', summary: 'the last day on which it is exempt' },
      { flags: '--end', summary: 'end the exemption' },
    ],
    exits: [7],
    examples: ['slotproof units exempt TB8120001238 --why "replaced soon" --until 2027-03-31'],
    load: () => import('../units-exempt.ts'),
  },
  {
    name: 'audit',
    summary: 'which units still need work, and how the release fares',
    positionals: [],
    options: [
      { flags: '--product <product>', summary: 'units of this product only' },
      { flags: '--site <site>', summary: 'units at this site only' },
      { flags: '--target <release>', summary: 'measure against this release instead of the newest' },
      { flags: '--as-of <date>', summary: 'as it stood at the end of that day' },
      {
        flags: '--visits <file>',
        summary: 'what became of this list: site or serial, date a line (no date: the last seven days)',
      },
      encodingOf('the list'),
      {
        flags: '--fail-if <state>',
        summary: 'exit 3 where a unit still needs anything (due), or is past its date (overdue)',
        choices: ['due', 'overdue'],
      },
      { flags: '--csv <file>', summary: 'write the table as CSV' },
      { flags: '--html <file>', summary: 'write the audit as a page to print' },
      recordOption,
    ],
    exits: [3, 4, 7],
    examples: [
      'slotproof audit',
      'slotproof audit --visits monday.csv',
      'slotproof audit --fail-if overdue --json',
    ],
    load: () => import('../audit.ts'),
  },
  {
    name: 'plan',
    summary: 'what coming visits take: paths, time, and cards',
    positionals: [],
    options: [
      {
        flags: '--visits <file>',
        summary: 'CSV with site or serial a line, and date and minutes where you like',
      },
      encodingOf('the list'),
      {
        flags: '--date <day>',
        summary: "that day's visits of the list, and who is due then; today unless given",
      },
      { flags: '--site <site...>', summary: 'these sites, in place of a list' },
      {
        flags: '--vans <number>',
        summary: 'how many go out: each takes a spare of each firmware file; 1 unless given',
      },
      recordOption,
    ],
    exits: [3, 4, 7],
    examples: [
      'slotproof plan --site "Alder Farm"',
      'slotproof plan --visits tomorrow.csv --date 2026-11-25 --vans 2',
    ],
    notes: [
      'A card carries one firmware file. One serves all units of a van where they',
      'leave it as it is. Spares: one more for each firmware file and van, and one that',
      'leads back where the maker has a release for that.',
    ],
    load: () => import('../plan.ts'),
  },
  {
    name: 'report',
    summary: 'all that is on record of one unit, as the maker wants it for a claim',
    positionals: [{ name: '<serial>', summary: 'as on its plate' }],
    options: [
      { flags: '--format <form>', summary: 'text unless given', choices: ['text', 'html', 'pdf'] },
      { flags: '--paper <paper>', summary: 'of a PDF: A4 unless given', choices: ['a4', 'letter'] },
      { flags: '--out <file>', summary: "a new file for it; else one in the workspace's reports/" },
    ],
    exits: [7],
    examples: ['slotproof report TB8120000834 --format pdf --out claim.pdf'],
    load: () => import('../report.ts'),
  },
  {
    name: 'withdraw',
    summary: 'stop a release here; names the cards that carry it and the units that have it',
    positionals: [{ name: '<release>', summary: 'PRODUCT@VERSION' }],
    options: [
      { flags: '--why <text>', summary: 'what is wrong with it' },
      { flags: '--do-this <text>', summary: 'what is to be done with units that have it' },
    ],
    exits: [7],
    examples: ['slotproof withdraw hearth-90@2.6.0 --why "cabinets do not restart"'],
    load: () => import('../withdraw.ts'),
  },
];
