// The commands that deal with manifests and what is printed from them: names, arguments, options and help
// texts only.

import { languageCodes } from '../../sheet/language-codes.ts';
import type { CommandSpec } from '../command.ts';
import { shells } from './shells.ts';

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
      { flags: '--paper <size>', summary: 'for html and pdf (pdf: a4)', choices: ['a4', 'letter'] },
      {
        flags: '--language <code>',
        summary:
          'of the printed words; the steps stay as the manifest has them (else SLOTPROOF_LANGUAGE, else en)',
        choices: languageCodes,
      },
      { flags: '--slip', summary: 'the slip for the customer, too' },
      { flags: '--out <file>', summary: 'write it there, too' },
      { flags: '--day-ends <time>', summary: 'when the working day ends (16:30): the latest hour to start' },
      { flags: '--despite-halt <why>', summary: 'go on although the halt rule stopped this release' },
    ],
    exits: [3, 5, 6, 7],
    examples: [
      'slotproof sheet hearth-90 --unit TB8120001238 --day-ends 16:30',
      'slotproof sheet hearth-90 --format pdf --slip --out tomorrow.pdf',
    ],
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
    name: 'visit',
    summary: 'walk the procedure at one unit, step by step, each step kept',
    positionals: [{ name: '[serial]', summary: 'the unit, as on its plate' }],
    options: [
      {
        flags: '--answers <file>',
        summary: 'walk without a terminal: one answer a line, as JSON, in the order of the questions',
      },
      {
        flags: '--language <code>',
        summary:
          'of the questions; the steps stay as the manifest has them (else SLOTPROOF_LANGUAGE, else en)',
        choices: languageCodes,
      },
      {
        flags: '--more-units',
        summary: 'another unit of this site follows today: what is done once comes later',
      },
      {
        flags: '--site-opened',
        summary: 'what is done once before the first unit of a site was done already',
      },
      { flags: '--release <release>', summary: 'the release carried there; else the next on its path' },
      { flags: '--by <name>', summary: 'who does the work, where that is not who types' },
      {
        flags: '--despite-halt <why>',
        summary: 'go on although the halt rule stopped this release; kept on record',
      },
    ],
    exits: [3, 5, 6, 7, 130],
    examples: [
      'slotproof visit TB8120001238',
      'slotproof visit TB8120001238 --answers walk.jsonl --as "R. Quill"',
    ],
    notes: [
      'Answers: JSON, one object a line, in the order of the questions. A step of the',
      'procedure is named by "step", what stands around it by "ask". Anywhere: "at",',
      'when it was done (2026-11-24T09:10), never in the future and never backwards.',
      '  {"ask":"cautions","read":true}',
      '  {"ask":"card","card":"NAME","path":"CARD"}        path: where it can be read',
      '  {"ask":"plate","lastFour":"1234","revision":"B"}',
      '  {"ask":"version-before","version":"2.5.0"}        or "unreadable":true',
      '  {"ask":"lead","goOn":true,"name":"NAME"}          where it was unreadable',
      '  {"ask":"settings","values":{"bus address":"7"}}   what the release resets',
      '  {"ask":"starts","asSaid":true}',
      '  {"step":"a do, a hold, a wait","done":true}       a do: or "cannot":true',
      '  {"step":"a wait","plateMinutes":10,"done":true}   null: none on the plate',
      '  {"step":"a measure","meterBefore":true,"readings":[0.4],"meterAfter":true}',
      '  {"step":"a watch","lights":"PATTERN"}             or "unlisted", "late": true',
      '  {"step":"a read","version":"2.6.0"}               or "unreadable":true',
      '  {"step":"a confirm","serves":[true,true]}',
      '  {"ask":"restored","values":{"bus address":true}}',
      '  {"ask":"service","serves":[true,true]}            after an update',
      '  {"ask":"left","left":"running"}',
      '  {"ask":"cause","cause":"unit"}                    failed; then:',
      '  {"ask":"case","number":"4471"}                    null: none',
      '  {"ask":"reason","reason":"no-time"}               deferred',
      '  {"ask":"told","name":"NAME"}                      null: nobody there',
      '  {"stop":true}                                     at any question; then:',
      '  {"ask":"stopped","choice":"go-on"}                break-off, failed, deferred',
      'On resuming, cautions and plate again, each position, and what was measured:',
      '  {"ask":"positions","positions":{"card":"out","main-switch":"open"}}',
      '  {"ask":"STEP","meterBefore":true,"readings":[0.4],"meterAfter":true}',
      'An answer that does not fit is told with the right one beside it.',
    ],
    load: () => import('../visit.ts'),
  },
  {
    name: 'manifests check',
    summary: 'are the manifests sound?',
    positionals: [{ name: '[path...]', summary: "files or folders; else the workspace's" }],
    options: [{ flags: '--draft', summary: 'where trust is on: look into what is not signed yet' }],
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
    name: 'manifests sign',
    summary: 'sign manifests with your SSH key: FILE.sig beside each',
    positionals: [{ name: '<file...>', summary: 'the manifests; each is checked first' }],
    options: [
      {
        flags: '--key <key>',
        summary: 'file of your private SSH key; of the public one where ssh-agent holds it',
      },
    ],
    exits: [3],
    examples: ['slotproof manifests sign hearth-90.yaml --key id_ed25519'],
    notes: [
      'ssh-keygen makes the same signature, and asks for a passphrase:',
      '  ssh-keygen -Y sign -n slotproof-manifest -f KEY FILE',
    ],
    load: () => import('../manifests-sign.ts'),
  },
  {
    name: 'manifests trust',
    summary: 'let the owner of a key sign manifests; without a key: who may',
    positionals: [{ name: '[key]', summary: 'file of the public SSH key' }],
    options: [
      { flags: '--name <name>', summary: 'whose key it is' },
      { flags: '--confirm <fingerprint>', summary: 'SHA256:… as the owner of the key says it' },
    ],
    exits: [5],
    examples: ['slotproof manifests trust lead.pub --name "J. Marl"', 'slotproof manifests trust'],
    notes: [
      'The first one switches trust on: from then on a manifest is read only when it',
      'is signed by somebody trusted. They stand in trusted-signers, in the format of',
      'ssh-keygen(1), ALLOWED SIGNERS; who removes that file switches trust off.',
    ],
    load: () => import('../manifests-trust.ts'),
  },
  {
    name: 'manifests distrust',
    summary: 'take trust away from a signer',
    positionals: [{ name: '<name>', summary: 'the name, or the fingerprint of the key' }],
    options: [],
    exits: [5],
    examples: ['slotproof manifests distrust "J. Marl"'],
    load: () => import('../manifests-distrust.ts'),
  },
  {
    name: 'completion',
    summary: 'a script by which your shell completes commands and options',
    positionals: [{ name: '<shell>', summary: 'bash, zsh or fish', offers: shells }],
    options: [],
    exits: [],
    examples: ['slotproof completion bash', 'slotproof completion fish'],
    notes: [
      'Once, for each shell; it counts from the next window on:',
      '  slotproof completion bash > ~/.slotproof.bash',
      '  slotproof completion zsh > ~/.zfunc/_slotproof',
      '  slotproof completion fish > ~/.config/fish/completions/slotproof.fish',
      'For bash, ~/.bashrc has to say: source ~/.slotproof.bash',
      'For zsh, ~/.zshrc has to say fpath+=~/.zfunc before it calls compinit.',
    ],
    load: () => import('../completion.ts'),
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
