// A computer with one card in a reader that this user may not open, mounted as a folder of this computer: what the
// system says of it, what the card does wrong, and what a person does with it are the test's to say.

import { mkdirSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { localVolumes } from '../../src/adapters/volumes/local-volumes.ts';
import type { Context } from '../../src/commands/context.ts';
import type { Cards } from '../../src/ports/blocks.ts';
import type { Drive, Drives } from '../../src/ports/drives.ts';
import type { MountedVolume, VolumeFacts, Volumes } from '../../src/ports/volumes.ts';
import { Failure } from '../../src/words/failure.ts';
import { makeCardWorkspace, testImage } from './card-workspace.ts';
import { memoryBlocks } from './memory-blocks.ts';
import { type ScriptedAnswer, scriptedPerson } from './scripted-person.ts';

export const cardImage = testImage(20_000);

export interface MountedBench {
  /** The mounted card. */
  readonly card: string;
  readonly context: Context;
  readonly notices: string[];
  readonly download: string;
  readonly state: BenchState;
  /** What was done to the drive, in order. */
  readonly done: string[];
  close(): void;
  requireAllAsked(): void;
}

export interface BenchState {
  drive: Drive;
  /** Not in its reader. */
  isOut: boolean;
  isMounted: boolean;
  mayUnmount: boolean;
  mayMount: boolean;
  facts: Partial<VolumeFacts>;
  /** Called each time the drives are listed: where a person moves. */
  onList?: () => void;
  /** Called after a mount: what an operating system leaves there. */
  onMount?: () => void;
  /** Called when it is let go of. */
  onUnmount?: () => void;
  wrap: (volume: MountedVolume) => MountedVolume;
}

export interface BenchOptions {
  readonly files?: Readonly<Record<string, string | Uint8Array>>;
  readonly rule?: string;
  readonly answers?: readonly ScriptedAnswer[];
  readonly imageFolder?: string;
  /** The card itself, from this file system, whose files are in the folder: then this user may open it. */
  readonly device?: (mountPoint: string) => Uint8Array;
}

export const mountedRule =
  '{ fileSystems: [fat32, fat16, exfat], partitionTables: [mbr, none], capacity: { min: 1MB, max: 4GB } }';

/** As a person without rights on a Linux desktop has it; what differs is changed in `state`. */
export function mountedBench({
  files = {},
  rule = mountedRule,
  answers = [],
  imageFolder = '',
  device,
}: BenchOptions = {}): MountedBench {
  const made = makeCardWorkspace(rule, [{ version: '4.2.0', image: cardImage }], imageFolder);
  const card = join(made.folder, 'CARD');
  mkdirSync(card);
  for (const [name, bytes] of Object.entries(files)) {
    mkdirSync(dirname(join(card, name)), { recursive: true });
    writeFileSync(join(card, name), bytes);
  }
  const drive: Drive = {
    device: '/dev/sdq',
    sizeBytes: 512e6,
    sectorBytes: 512,
    bus: 'usb',
    model: 'Reader',
    serial: 'READER01',
    readOnly: false,
    removable: true,
    hotplug: true,
    soldered: false,
    isSystem: false,
    holdsSystemPath: false,
    carries: [],
    partitionTable: 'dos',
    tableId: '0badcafe',
    parts: [
      {
        device: '/dev/sdq1',
        sizeBytes: 500e6,
        fileSystem: device === undefined ? 'vfat' : 'exfat',
        label: 'CARD',
        volumeId: '1A2B-3C4D',
        mountPoints: [card],
      },
    ],
  };
  const done: string[] = [];
  const state: BenchState = {
    drive,
    isOut: false,
    isMounted: true,
    mayUnmount: true,
    mayMount: true,
    facts: {},
    wrap: (volume) => volume,
  };
  let readBytes = 1e6;
  const drives: Drives = {
    async list() {
      state.onList?.();
      if (state.isOut) return { drives: [{ ...state.drive, sizeBytes: null, parts: [] }] };
      const parts = state.drive.parts.map((part) => ({
        ...part,
        mountPoints: state.isMounted ? [card] : [],
      }));
      return { drives: [{ ...state.drive, parts }] };
    },
    resolve: (path) => path,
    async unmount() {
      done.push('unmount');
      if (!state.mayUnmount)
        throw new Failure({ code: 'card-busy', exit: 6, summary: 'In use.', next: 'Wait.' });
      if (state.isMounted) state.onUnmount?.();
      state.isMounted = false;
    },
    async mount() {
      done.push('mount');
      if (!state.mayMount)
        throw new Failure({ code: 'not-mounted', exit: 6, summary: 'No.', next: 'Open it.' });
      state.isMounted = true;
      readBytes += 1e6;
      state.onMount?.();
    },
    async eject() {
      done.push('eject');
      if (!state.mayUnmount)
        throw new Failure({ code: 'card-busy', exit: 6, summary: 'In use.', next: 'Wait.' });
      state.isMounted = false;
    },
  };
  const volumes: Volumes = {
    open(mountPoint) {
      if (mountPoint === card && (state.isOut || !state.isMounted))
        throw new Error('opened what is not mounted');
      const real = localVolumes.open(mountPoint);
      const facts = (): VolumeFacts => ({
        ...real.facts(),
        fileSystem: device === undefined ? 'vfat' : 'exfat',
        clusterBytes: 8192,
        clusterCount: 61_000,
        freeBytes: 400e6,
        readOnly: false,
        readsPastMemory: true,
        traffic: { readBytes, writtenBytes: 512 },
        ...state.facts,
      });
      return state.wrap({
        mountPoint,
        facts,
        list: (folder) => real.list(folder),
        chunks: (file) => real.chunks(file),
        startNew: (file) => real.startNew(file),
        makeFolder: (folder) => real.makeFolder(folder),
        rename: (from, to) => real.rename(from, to),
        removeFile: (file) => real.removeFile(file),
        removeFolder: (folder) => real.removeFolder(folder),
        flush: (folder) => real.flush(folder),
        close: () => real.close(),
      });
    },
  };
  const cards = {
    openToRead:
      device === undefined
        ? refuse
        : () => ({ ...memoryBlocks(device(card)), proof: 'direct' as const, close: () => {} }),
    openToWrite: refuse,
    isWriteProtected: device === undefined ? refuse : () => false,
    identify: refuse,
    exists: () => true,
    create: refuse,
  } as unknown as Cards;
  const person = scriptedPerson(made.workspace, answers);
  const context = Object.create(person.context, {
    cards: { value: cards },
    drives: { value: async () => drives },
    volumes: { value: async () => volumes },
  }) as Context;
  return {
    card,
    context,
    notices: person.notices,
    download: made.download('4.2.0'),
    state,
    done,
    close: person.close,
    requireAllAsked: person.requireAllAsked,
  };
}

function refuse(): never {
  throw new Failure({
    code: 'no-permission',
    exit: 2,
    summary: 'This user may not open the card itself.',
    next: 'Run it with administrator rights.',
  });
}
