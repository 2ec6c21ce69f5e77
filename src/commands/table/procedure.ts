// The commands that deal with manifests and what is printed from them: names, arguments, options and help
// texts only.

import type { CommandSpec } from '../command.ts';

export const procedureCommands: readonly CommandSpec[] = [
  {
    name: 'sheet',
    summary: 'print the on-site procedure, numbered',
    positionals: [{ name: '[release]', summary: 'PRODUCT@VERSION, or PRODUCT for its newest' }],
    options: [
      { flags: '--unit <serial...>', summary: 'the units it is for: a row each to fill in' },
      {
        flags: '--format <format>',
        summary: 'form of the sheet',
        choices: ['text', 'html', 'pdf', 'pocket'],
      },
      { flags: '--out <file>', summary: 'write it there, too' },
      { flags: '--day-ends <time>', summary: 'when the working day ends (16:30): the latest hour to start' },
    ],
    exits: [3, 6, 7],
    examples: ['slotproof sheet hearth-90 --unit TB8120001234 --day-ends 16:30'],
    load: () => import('../sheet.ts'),
  },
  {
    name: 'lights',
    summary: 'what do these lights mean?',
    positionals: [{ name: '[product]', summary: 'whose patterns of lights' }],
    options: [
      {
        flags: '--seen <lights>',
        summary:
          'what was seen: off, on, flashes counted (20in10s), groups (3x); sweep=run+link+fault; display=text',
      },
      { flags: '--play <pattern>', summary: 'show this pattern on the terminal' },
      { flags: '--seconds <number>', summary: 'for how long to play; else 20 or two rounds' },
    ],
    exits: [3, 130],
    examples: [
      'slotproof lights hearth-90',
      'slotproof lights hearth-90 --seen "run=on,fault=20in10s"',
      'slotproof lights hearth-90 --play loading',
    ],
    load: () => import('../lights.ts'),
  },
  {
    name: 'manifests check',
    summary: 'are the manifests sound?',
    positionals: [{ name: '[path...]', summary: "files or folders; else the workspace's" }],
    options: [],
    exits: [3],
    examples: ['slotproof manifests check', 'slotproof manifests check hearth-90.yaml'],
    load: () => import('../manifests-check.ts'),
  },
  {
    name: 'manifests schema',
    summary: 'the JSON Schema of the manifests, for an editor',
    positionals: [],
    options: [{ flags: '--out <folder>', summary: 'write the schema files there' }],
    exits: [],
    examples: ['slotproof manifests schema --out schema'],
    load: () => import('../manifests-schema.ts'),
  },
  {
    name: 'demo',
    summary: 'the whole job in seconds, on a card image file, in a throw-away workspace',
    positionals: [],
    options: [{ flags: '--keep <folder>', summary: 'keep the workspace and the card there, to play with' }],
    exits: [],
    examples: ['slotproof demo', 'slotproof demo --keep try'],
    load: () => import('../demo.ts'),
  },
];
