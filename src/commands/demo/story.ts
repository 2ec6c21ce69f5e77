// The demo as a story: an evening at the workshop and the day after, each step a real command on real bytes.
// What a step must end with is stated, so the demo is a test of the tool as well.

import { releaseKey } from '../../manifest/catalogue.ts';
import { demoDownload, demoImage } from '../../manifest/demo-firmware.ts';
import type { Release } from '../../manifest/schema.ts';
import type { CommandSpec, OptionValues } from '../command.ts';
import type { Context } from '../context.ts';
import type { LitterFolder } from './litter-card.ts';
import { litterCard } from './litter-card.ts';
import type { StoryClock } from './story-clock.ts';
import { fleetCsv, visitedSerials } from './story-fleet.ts';

export interface StoryStep {
  readonly title: string;
  readonly command: CommandSpec['name'];
  /** Positionals and options as the command takes them; paths absolute. */
  readonly positionals: readonly string[];
  readonly options: OptionValues;
  /** As a person would type it. */
  readonly shown: string;
  readonly exit: number;
  /** What happened in the story before it. */
  readonly before?: () => void;
  /** How many lines of its text to show; all where absent. */
  readonly lines?: number;
}

export interface StoryGround {
  readonly context: Context;
  readonly clock: StoryClock;
  /** Where the downloads, the card and the table lie. */
  readonly folder: string;
  readonly release: Release;
  readonly older: Release;
}

export const storyCard = 'tonight.img';
const evening = '2026-11-17';
const day = '2026-11-18';

const text = (content: string) => new TextEncoder().encode(content);

const picture = (number: number): { name: string; content: Uint8Array } => ({
  name: `SITE000${number}.JPG`,
  content: new Uint8Array(90_000 + number * 1000).fill(number),
});

const litter: readonly LitterFolder[] = [
  { name: 'DCIM', files: [picture(1), picture(2), picture(3)] },
  { name: 'RECYCLER', files: [{ name: 'NOTES.TXT', content: text('Meter readings, Mill Acre, May\r\n') }] },
  { name: 'FOUND.000', files: [{ name: 'FILE0000.CHK', content: text('left over\r\n') }] },
];

export function storySteps({ context, clock, folder, release, older }: StoryGround): StoryStep[] {
  const { files, cards } = context;
  const at = (name: string) => files.absolute(`${folder}/${name}`);
  const download = demoDownload(release);
  const mailed = release.image.name.replace('.', ' (1).');
  const named = releaseKey(release);
  const [first, second, third] = visitedSerials;
  const card = at(storyCard);

  return [
    {
      title: 'The office keeps its units in a table. It goes into the register.',
      command: 'units import',
      positionals: [at('fleet.csv')],
      options: {},
      shown: 'units import fleet.csv',
      exit: 0,
      before() {
        clock.setTo(evening, 18.5);
        files.write(at('fleet.csv'), fleetCsv);
      },
    },
    {
      title: 'A colleague mailed the firmware file. Is it what the maker published?',
      command: 'verify',
      positionals: [at(mailed)],
      options: {},
      shown: `verify "${mailed}"`,
      exit: 3,
      before() {
        clock.setTo(evening, 18.75);
        const whole = demoImage(release);
        files.write(at(mailed), whole.subarray(0, Math.floor(whole.length * 0.7)));
      },
    },
    {
      title: "It was cut short on the way. The maker's own download, then:",
      command: 'verify',
      positionals: [at(download.name)],
      options: {},
      shown: `verify ${download.name}`,
      exit: 0,
      before: () => files.write(at(download.name), download.bytes),
    },
    {
      title:
        'The card from the van: last used for another release, since then for pictures. Would the cabinet take it?',
      command: 'check',
      positionals: [card],
      options: { for: named },
      shown: `check tonight.img --for ${named}`,
      exit: 3,
      before() {
        clock.setTo(evening, 19);
        const blocks = cards.openToWrite(card);
        try {
          litterCard(blocks, litter, clock.now());
        } finally {
          blocks.close();
        }
      },
    },
    {
      title: 'Make it ready. What a person may still want is kept, the rest goes, every byte is read back.',
      command: 'prepare',
      positionals: [card],
      options: { for: named, confirm: card },
      shown: `prepare tonight.img --for ${named} --confirm tonight.img`,
      exit: 0,
    },
    {
      title: 'Print the procedure for the three cabinets of tomorrow.',
      command: 'sheet',
      positionals: [named],
      options: { unit: [first, second, third], dayEnds: '16:30' },
      shown: `sheet ${named} --unit ${first} ${second} ${third} --day-ends 16:30`,
      exit: 0,
      before: () => clock.setTo(evening, 19.5),
      lines: 40,
    },
    {
      title: 'The next day, Alder Farm: the display shows the new version.',
      command: 'log',
      positionals: [first, 'updated'],
      options: {
        release: named,
        versionBefore: older.version,
        versionRead: release.version,
        card: 'tonight.img',
      },
      shown: `log ${first} updated --version-before ${older.version} --version-read ${release.version} --card tonight.img`,
      exit: 0,
      before: () => clock.setTo(day, 10.25),
    },
    {
      title: 'Thistle Croft: the lights said yes, the display stayed dark. Nobody read a version.',
      command: 'log',
      positionals: [second, 'updated'],
      options: { release: named, versionBefore: older.version, lights: 'complete', card: 'tonight.img' },
      shown: `log ${second} updated --version-before ${older.version} --lights complete --card tonight.img`,
      exit: 0,
      before: () => clock.setTo(day, 12),
    },
    {
      title: 'Low Meadow: the card was refused twice. The cabinet stays locked off.',
      command: 'log',
      positionals: [third, 'failed'],
      options: {
        release: named,
        cause: 'unit',
        left: 'locked-off',
        case: 'T-4471',
        card: 'tonight.img',
        note: 'refused twice, contacts wiped; helpline rings back in the morning',
      },
      shown: `log ${third} failed --cause unit --left locked-off --case T-4471 --card tonight.img --note "refused twice …"`,
      exit: 0,
      before: () => clock.setTo(day, 14.5),
    },
    {
      title: 'In the evening the service lead asks what is left to do.',
      command: 'audit',
      positionals: [],
      options: {},
      shown: 'audit',
      exit: 0,
      before: () => clock.setTo(day, 17),
    },
  ];
}
