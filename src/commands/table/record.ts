// The commands that deal with the record itself: names, arguments, options and help texts only.

import type { CommandSpec } from '../command.ts';
import { recordOption } from './record-option.ts';

export const recordCommands: readonly CommandSpec[] = [
  {
    name: 'record check',
    summary: 'is the record whole and unchanged?',
    positionals: [],
    options: [
      {
        flags: '--mark <mark>',
        summary: 'a mark from a sheet, to compare; may be given again',
        repeats: true,
      },
      recordOption,
    ],
    exits: [3, 7, 130],
    examples: [
      'slotproof record check',
      'slotproof record check --mark "k7mq4rt2-17 3f9a1 22c04 9be17 a0d52"',
    ],
    load: () => import('../record-check.ts'),
  },
  {
    name: 'record pack',
    summary: 'pack entries, marks and manifests for another laptop, as one file',
    positionals: [{ name: '[file]', summary: 'where to; else a new file in this folder' }],
    options: [
      {
        flags: '--no-names',
        summary: 'with marks in place of names: to be read and counted, not to be checked',
      },
    ],
    exits: [6, 7, 130],
    examples: ['slotproof record pack /media/stick/monday.packet', 'slotproof record pack --no-names'],
    notes: [
      'A packet is text, a line an entry; any number of them may be taken in, in any',
      'order and again. It holds what people typed; how many names is said. Photos',
      'stay on the laptop.',
    ],
    load: () => import('../record-pack.ts'),
  },
  {
    name: 'record take-in',
    summary: "add another laptop's entries and manifests from its packet",
    positionals: [{ name: '<file>', summary: 'what record pack wrote' }],
    options: [],
    exits: [3, 6, 7, 130],
    examples: ['slotproof record take-in monday.packet'],
    notes: [
      'Nothing is taken from a packet with one wrong byte. Of two manifests that',
      'differ the one written later is used, and it is said; the other is kept in',
      'manifests-before/. A withdrawal is never lifted by a packet.',
    ],
    load: () => import('../record-take-in.ts'),
  },
  {
    name: 'record sync',
    summary: "bring this laptop's record and the office's server in step",
    positionals: [{ name: '<url>', summary: 'postgresql://USER@HOST/DATABASE, without a password' }],
    options: [
      {
        flags: '--set-up',
        summary: "an administrator's: make the server's tables, or bring them up to date",
      },
      { flags: '--dry-run', summary: 'with --set-up: show the SQL instead, to be run by hand' },
    ],
    exits: [3, 7, 130],
    examples: [
      'slotproof record sync postgresql://quill@office.example/slotproof',
      'slotproof record sync postgresql://admin@office.example/slotproof --set-up',
    ],
    notes: [
      'The password stands in PGPASSWORD, or in the file that PGPASSFILE names',
      '(else ~/.pgpass); in the URL it is refused. What the URL leaves out comes from',
      'PGHOST, PGPORT, PGUSER, PGDATABASE, PGSSLMODE, PGSSLROOTCERT, PGSSLCERT and',
      'PGSSLKEY; in the URL: ?sslmode=…&sslrootcert=FILE. Without an sslmode another',
      'computer must prove who it is (verify-full).',
      'Breaking off does no harm: the same again goes on from there.',
    ],
    load: () => import('../record-sync.ts'),
  },
  {
    name: 'record mark',
    summary: "the hash of each laptop's newest entry",
    positionals: [],
    options: [recordOption],
    exits: [7],
    examples: ['slotproof record mark'],
    load: () => import('../record-mark.ts'),
  },
  {
    name: 'record rebuild',
    summary: 'add every unit up anew from the entries alone',
    positionals: [],
    options: [recordOption],
    exits: [7, 130],
    examples: ['slotproof record rebuild'],
    load: () => import('../record-rebuild.ts'),
  },
  {
    name: 'record backup',
    summary: 'a checked copy of the record in one file, while others go on working',
    positionals: [{ name: '<file>', summary: 'where to; nothing is replaced' }],
    options: [],
    exits: [3, 6, 7, 130],
    examples: ['slotproof record backup /media/stick/monday.db'],
    notes: [
      'It holds every entry. Photos and result files (evidence/), kept files (kept/),',
      'sheets and manifests are files of their own: copy these folders, too.',
    ],
    load: () => import('../record-backup.ts'),
  },
  {
    name: 'record restore',
    summary: 'begin from a back-up, under a new laptop id',
    positionals: [{ name: '<file>', summary: 'what record backup or record salvage wrote' }],
    options: [
      {
        flags: '--set-aside',
        summary: 'move the record that is there to record-before-1/, and keep it',
      },
    ],
    exits: [3, 6, 7, 130],
    examples: ['slotproof record restore /media/stick/monday.db --set-aside'],
    notes: [
      'What was written since the back-up comes from the damaged record (record',
      'salvage FILE --with BACKUP, before this), or from other laptops (take-in).',
    ],
    load: () => import('../record-restore.ts'),
  },
  {
    name: 'record salvage',
    summary: 'write what can be saved of a damaged record to a new file',
    positionals: [{ name: '<file>', summary: 'where to; nothing is replaced' }],
    options: [
      {
        flags: '--with <file>',
        summary: 'a back-up or other copy whose entries fill gaps; may be given again',
        repeats: true,
      },
    ],
    exits: [4, 6, 7, 130],
    examples: ['slotproof record salvage saved.db --with /media/stick/monday.db'],
    notes: [
      'The damaged record is only read. An entry is saved where its hash proves it and',
      'its chain holds up to it; those behind a gap are kept in FILE.loose, which',
      '--with takes again. Then: slotproof record restore FILE --set-aside.',
    ],
    load: () => import('../record-salvage.ts'),
  },
];
