// The commands that deal with downloads and cards: names, arguments, options and help texts only.

import type { CommandSpec } from '../command.ts';

export const cardCommands: readonly CommandSpec[] = [
  {
    name: 'verify',
    summary: 'is this download what the maker published?',
    positionals: [
      { name: '<file>', summary: 'the download: the firmware file itself, or a zip that holds it' },
    ],
    options: [],
    exits: [3],
    examples: ['slotproof verify ~/Downloads/HEARTH.TFW'],
    load: () => import('../verify.ts'),
  },
  {
    name: 'cards',
    summary: 'the cards and sticks that are plugged in now; with --known those on record',
    positionals: [],
    options: [
      {
        flags: '--for <release>',
        summary: 'PRODUCT@VERSION, PRODUCT or a SERIAL: which are no cards for that unit?',
      },
      {
        flags: '--known',
        summary: 'the cards on record: what they carry, and whether they may go out again',
      },
      { flags: '--label <name...>', summary: "labels for these cards' sleeves, by their names on record" },
      {
        flags: '--format <form>',
        summary: 'with --label: text, or PDF of 80 by 40 mm',
        choices: ['text', 'pdf'],
      },
      { flags: '--out <file>', summary: 'with --label: a new file for them' },
      { flags: '--retire <name>', summary: 'this card is gone for good: it is asked after no more' },
      { flags: '--why <text>', summary: 'with --retire: worn, lost, given away' },
    ],
    exits: [3, 6, 7],
    examples: [
      'slotproof cards',
      'slotproof cards --known',
      'slotproof cards --label KF-03 --format pdf --out label.pdf',
      'slotproof cards --retire KF-03 --why "lost on site"',
    ],
    load: () => import('../cards.ts'),
  },
  {
    name: 'check',
    summary: 'look at a card; changes nothing',
    positionals: [{ name: '[card]', summary: 'a device, where it is mounted, or a card image file (*.img)' }],
    options: [
      {
        flags: '--for <release>',
        summary: 'PRODUCT@VERSION, PRODUCT or a SERIAL: would the unit take this card?',
      },
    ],
    exits: [3, 6],
    examples: ['slotproof check tonight.img --for hearth-90'],
    load: () => import('../check.ts'),
  },
  {
    name: 'prepare',
    summary: 'make a card ready, and prove it by reading it back',
    positionals: [{ name: '[card]', summary: 'a device, where it is mounted, or a card image file (*.img)' }],
    options: [
      {
        flags: '--for <release>',
        summary: 'PRODUCT@VERSION, PRODUCT, or a SERIAL (the next release on its path)',
      },
      { flags: '--from <file>', summary: 'the download to take the firmware file from' },
      { flags: '--fresh', summary: 'lay the card out anew; what is on it and cannot be kept is lost' },
      { flags: '--size <size>', summary: 'with --fresh: make a card image file of this size (4GB, 512MiB)' },
      { flags: '--dry-run', summary: 'print the plan, change nothing' },
      {
        flags: '--confirm <id>',
        summary: 'the card meant: its ID, as "cards" shows it; of a card image file the path as given',
      },
      {
        flags: '--card <name>',
        summary: 'the short name on its label; without it the one it had, or the next free one',
      },
      { flags: '--by <name>', summary: 'who prepares it, where that is not who types' },
      {
        flags: '--despite-halt <why>',
        summary: 'go on although the halt rule stopped this release; kept on record',
      },
    ],
    exits: [3, 5, 6, 7, 130],
    examples: [
      'slotproof prepare tonight.img --for hearth-90 --dry-run',
      'slotproof prepare new.img --for hearth-90 --fresh --size 4GB',
    ],
    load: () => import('../prepare.ts'),
  },
  {
    name: 'test-card',
    summary: 'does a card hold what it claims? writes to its free space only',
    positionals: [{ name: '[card]', summary: 'a device, where it is mounted, or a card image file (*.img)' }],
    options: [
      { flags: '--full', summary: 'all of the free space, not a sample of it' },
      { flags: '--confidence <percent>', summary: 'how surely a lying card is found; 99.9 unless given' },
      { flags: '--fraud <percent>', summary: 'of a card that loses this share of its space; 5 unless given' },
      { flags: '--again', summary: 'begin anew, not where an earlier test was stopped' },
      {
        flags: '--confirm <id>',
        summary: 'the card meant: its ID, as "cards" shows it; of a card image file the path as given',
      },
    ],
    exits: [3, 5, 6, 130],
    examples: ['slotproof test-card /media/quill/CARD', 'slotproof test-card tonight.img --full'],
    load: () => import('../test-card.ts'),
  },
];
