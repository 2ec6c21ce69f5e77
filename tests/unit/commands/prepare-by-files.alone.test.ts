// `prepare` of a mounted card by a person who may not open the card itself: what is done to its files, what proves them,
// and that nothing is called ready without that proof.

import { existsSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { run } from '../../../src/commands/prepare.ts';
import type { MountedVolume } from '../../../src/ports/volumes.ts';
import { Failure } from '../../../src/words/failure.ts';
import { imageName, testImage } from '../../support/card-workspace.ts';
import { makeExfatBytes } from '../../support/exfat-images.ts';
import {
  type BenchOptions,
  cardImage,
  type MountedBench,
  mountedBench,
  mountedRule,
} from '../../support/mounted-bench.ts';

/** Nobody waits half a second for a person who is made up. */
vi.mock('node:timers/promises', () => ({ setTimeout: async () => {} }));

const open: MountedBench[] = [];
afterEach(() => {
  for (const bench of open.splice(0)) bench.close();
});
function bench(options: BenchOptions = {}): MountedBench {
  const made = mountedBench({ answers: [...consent, ['Who is working?', 'R. Quill']], ...options });
  open.push(made);
  return made;
}
const consent = [['Write to', true]] as const;
const signs = { answers: [['Who is working?', 'R. Quill']] } as const;

async function prepare(made: MountedBench, more: Readonly<Record<string, string | boolean>> = {}) {
  const { exit, json } = await run(made.context, [made.card], {
    for: 'rill-40',
    from: made.download,
    ...more,
  });
  return { exit, ...(json as Record<string, any>) } as Record<string, any>;
}

const codes = (json: Record<string, any>) =>
  json.findings.filter((one: any) => one.severity === 'stop').map((one: any) => one.code);
const onCard = ({ card }: MountedBench) => readdirSync(card, { recursive: true }).map(String).sort();

describe('what is done to the files', () => {
  it('keeps strays, removes them and litter, writes the image, and proves it after a new mount', async () => {
    const made = bench({
      files: { 'DCIM/A.JPG': testImage(3000), 'note.txt': 'n', '.DS_Store': 'x', [imageName]: 'old' },
    });
    const json = await prepare(made);
    expect(json).toMatchObject({ exit: 0, verdict: 'ready', mayPull: true, readBack: { method: 'direct' } });
    expect(json.kept.map((one: any) => one.path).sort()).toEqual(['DCIM/A.JPG', imageName, 'note.txt']);
    for (const { path, keptAt } of json.kept)
      if (path === 'DCIM/A.JPG') expect(readFileSync(keptAt).equals(testImage(3000))).toBe(true);
    expect(onCard(made)).toEqual([imageName]);
    expect(readFileSync(join(made.card, imageName)).equals(cardImage)).toBe(true);
    expect(made.done).toEqual(['unmount', 'mount', 'eject']);
    expect(json.entry).not.toBeNull();
    made.requireAllAsked();
  });

  it('prints the same plan in a dry run, and changes nothing', async () => {
    const files = { 'note.txt': 'n', '.DS_Store': 'x' };
    const dry = bench({ files, answers: [] });
    const printed = await prepare(dry, { dryRun: true });
    expect(onCard(dry)).toEqual(['.DS_Store', 'note.txt']);
    expect(dry.done).toEqual([]);
    expect((await prepare(bench({ files }))).plan).toEqual(printed.plan);
  });

  it.each([
    ['under another name', { 'RILL40 (1).FWU': cardImage }],
    ['in lower case', { 'rill40.fwu': cardImage }],
    ['in a folder that goes', { 'OLD/DEEP/RILL40.FWU': cardImage }],
  ])('gives an image its name and place that is there %s, without writing it', async (_, files) => {
    const made = bench({ files });
    const json = await prepare(made);
    expect(json).toMatchObject({ verdict: 'ready', written: null, kept: [] });
    expect(onCard(made)).toEqual([imageName]);
  });

  it('makes the folder that the unit looks in', async () => {
    const made = bench({ imageFolder: 'FW/NEW', files: { 'FW/x': 'x' } });
    expect(await prepare(made)).toMatchObject({ verdict: 'ready', kept: [{ path: 'FW/x' }] });
    expect(onCard(made)).toEqual(['FW', 'FW/NEW', `FW/NEW/${imageName}`]);
  });

  it('leaves other files where the rule lets them be', async () => {
    const made = bench({
      rule: mountedRule.replace(/ }$/, ', onlyFile: false }'),
      files: { 'note.txt': 'n' },
    });
    expect(await prepare(made)).toMatchObject({ verdict: 'ready', kept: [] });
    expect(onCard(made)).toEqual([imageName, 'note.txt']);
  });

  it('removes first where there is no room beside, and refuses where there is none at all', async () => {
    const made = bench({ files: { 'big.bin': testImage(40_000) } });
    made.state.facts = { freeBytes: 8192 };
    expect(await prepare(made)).toMatchObject({ verdict: 'ready', kept: [{ path: 'big.bin' }] });
    const full = bench({ answers: [] });
    full.state.facts = { freeBytes: 8192 };
    const refused = await prepare(full);
    expect({ exit: refused.exit, codes: codes(refused) }).toEqual({ exit: 3, codes: ['no-room'] });
    expect(onCard(full)).toEqual([]);
  });

  it('writes nothing on a card that is right, and proves it all the same', async () => {
    const made = bench({ files: { [imageName]: cardImage }, ...signs });
    expect(await prepare(made)).toMatchObject({ verdict: 'ready', plan: [], written: null });
    made.requireAllAsked();
  });

  it('takes the image from the card itself where nothing else is at hand, through a copy', async () => {
    const made = bench({ files: { 'other.txt': 'x', 'RILL40.OLD': cardImage } });
    const { json } = await run(made.context, [made.card], { for: 'rill-40' });
    expect(json).toMatchObject({ verdict: 'ready' });
    expect(onCard(made)).toEqual([imageName]);
  });

  it('cleans what the system leaves at the new mount, and says so', async () => {
    const made = bench();
    made.state.onMount = () => writeFileSync(join(made.card, '.DS_Store'), 'x');
    const json = await prepare(made);
    expect(json.verdict).toBe('ready');
    expect(json.findings.map((one: any) => one.code)).toContain('cleaned-last');
    expect(onCard(made)).toEqual([imageName]);
  });
});

describe('an image in pieces, for a unit that reads it from one', () => {
  const rule = mountedRule.replace(/ }$/, ', contiguous: true }');
  /** What lies in the folder, on exFAT; `inPieces` says which files the system has laid in pieces. */
  const exfat = (inPieces: (file: string) => boolean) => (mountPoint: string) =>
    makeExfatBytes({
      sizeBytes: 2 * 1024 * 1024 + 64 * 512,
      startSector: 64,
      clusterBytes: 4096,
      files: readdirSync(mountPoint).map((name) => ({
        path: name,
        bytes: readFileSync(join(mountPoint, name)),
        ...(inPieces(join(mountPoint, name)) ? { chainedGap: 1 } : {}),
      })),
    });
  /** The very file that was there at first lies in pieces, whatever it is called. */
  const oldFile = () => {
    let old: number | undefined;
    return (file: string) => {
      const { ino } = statSync(file);
      old ??= ino;
      return ino === old;
    };
  };

  it('is written anew as a new file, keeps nothing of the same bytes, and is seen in one', async () => {
    const made = bench({ rule, files: { [imageName]: cardImage }, device: exfat(oldFile()) });
    const before = statSync(join(made.card, imageName)).ino;
    const json = await prepare(made);
    expect(json).toMatchObject({ verdict: 'ready', kept: [], readBack: { method: 'direct' } });
    expect(json.plan).toEqual([
      { do: 'remove', path: imageName, files: 0, bytes: cardImage.length },
      { do: 'write', path: imageName, bytes: cardImage.length },
    ]);
    expect(onCard(made)).toEqual([imageName]);
    expect(statSync(join(made.card, imageName)).ino).not.toBe(before);
    expect(readFileSync(join(made.card, imageName)).equals(cardImage)).toBe(true);
    made.requireAllAsked();
  });

  it('comes from a kept copy of itself, where nothing else has its bytes', async () => {
    const made = bench({ rule, files: { [imageName]: cardImage }, device: exfat(oldFile()) });
    const { json } = await run(made.context, [made.card], { for: 'rill-40' });
    expect(json).toMatchObject({ verdict: 'ready', kept: [{ path: imageName }] });
    expect(onCard(made)).toEqual([imageName]);
  });

  it('leaves no second image where other files may stay, under whatever name the old one was', async () => {
    const made = bench({
      rule: rule.replace(/ }$/, ', onlyFile: false }'),
      files: { 'RILL40 (1).FWU': cardImage },
      device: exfat(oldFile()),
    });
    expect(await prepare(made)).toMatchObject({ verdict: 'ready', kept: [] });
    expect(onCard(made)).toEqual([imageName]);
  });

  it('in pieces again: not ready, with what to do', async () => {
    const made = bench({ rule, files: { [imageName]: cardImage }, device: exfat(() => true) });
    const json = await prepare(made);
    expect(json).toMatchObject({ exit: 3, verdict: 'not-ready', entry: null });
    expect(codes(json)).toEqual(['image-fragmented']);
    const { summary, next } = json.findings.find((one: any) => one.code === 'image-fragmented');
    expect(summary).toContain('again');
    expect(next).toMatch(/once more.*format the card anew/);
  });

  it('where the card itself may not be opened, nobody can see it: refused, and said so', async () => {
    const made = bench({ rule, files: { [imageName]: cardImage }, answers: [] });
    const json = await prepare(made);
    expect({ exit: json.exit, codes: codes(json) }).toEqual({ exit: 3, codes: ['rule-needs-device'] });
    expect(made.done).toEqual([]);
  });

  it('is left as it is where the unit does not ask for one piece', async () => {
    const made = bench({ files: { [imageName]: cardImage }, device: exfat(() => true), ...signs });
    expect(await prepare(made)).toMatchObject({ verdict: 'ready', plan: [], written: null });
  });
});

describe('what is refused', () => {
  it('laying it out anew', async () => {
    const made = bench({ answers: [] });
    await expect(prepare(made, { fresh: true })).rejects.toMatchObject({
      facts: { code: 'no-permission', exit: 2, next: expect.stringContaining('sudo') },
    });
  });

  it('a mount for reading only', async () => {
    const made = bench({ answers: [] });
    made.state.facts = { readOnly: true };
    await expect(prepare(made)).rejects.toMatchObject({ facts: { code: 'write-protected', exit: 6 } });
  });

  it.each(['contiguous: true', 'rootSlots: 4', 'activePartition: true'])(
    'a rule that asks for what cannot be seen: %s',
    async (more) => {
      const made = bench({ rule: mountedRule.replace(/ }$/, `, ${more} }`), files: { a: 'a' }, answers: [] });
      const json = await prepare(made);
      expect({ exit: json.exit, codes: codes(json) }).toMatchObject({ exit: 3 });
      expect(codes(json)).toContain('rule-needs-device');
      expect(onCard(made)).toEqual(['a']);
    },
  );

  it('a card that another one took the place of, between the question and the write', async () => {
    const made = bench({ files: { a: 'a' } });
    let asked = 0;
    made.state.onList = () => {
      asked++;
      if (asked > 1) made.state.drive = { ...made.state.drive, tableId: '99999999' };
    };
    await expect(prepare(made)).rejects.toMatchObject({ facts: { code: 'card-changed', exit: 5 } });
    expect(onCard(made)).toEqual(['a']);
  });

  it('a card on which something came meanwhile', async () => {
    const made = bench({ files: { a: 'a' } });
    let asked = 0;
    made.state.onList = () => {
      if (++asked === 2) writeFileSync(join(made.card, 'b'), 'b');
    };
    await expect(prepare(made)).rejects.toMatchObject({
      facts: { code: 'card-changed', exit: 5, summary: expect.stringContaining('not changed') },
    });
    expect(onCard(made)).toEqual(['a', 'b']);
  });
});

describe('what proves it', () => {
  it('without a new mount and without a person nothing does', async () => {
    const made = bench();
    made.state.mayMount = false;
    Object.defineProperty(made.context.terminal, 'interactive', { value: false });
    const json = await prepare(made);
    expect(json).toMatchObject({
      exit: 3,
      verdict: 'not-ready',
      entry: null,
      readBack: { method: 'cached' },
    });
    expect(codes(json)).toEqual(['not-read-from-card']);
    expect(json.findings.at(-1).next).toContain('--no-input');
  });

  it('and says so in its last line, with what to do', async () => {
    const made = bench();
    made.state.facts = { readsPastMemory: false };
    Object.defineProperty(made.context.terminal, 'interactive', { value: false });
    const { text } = await run(made.context, [made.card], { for: 'rill-40', from: made.download });
    expect(text.split('\n').at(-1)).toMatch(/^not ready: .*nothing proves.*--no-input/);
    expect(text).toContain('this may be what the computer remembers');
  });

  it('not where nothing was read from the medium at the new mount', async () => {
    const made = bench();
    made.state.facts = { traffic: { readBytes: 5, writtenBytes: 0 } };
    Object.defineProperty(made.context.terminal, 'interactive', { value: false });
    expect(await prepare(made)).toMatchObject({ verdict: 'not-ready', readBack: { method: 'cached' } });
  });

  it('the card taken out and put back does, where the system reads through its memory', async () => {
    const made = bench();
    made.state.facts = { readsPastMemory: false };
    moveCard(made, { locked: true });
    const json = await prepare(made);
    expect(json).toMatchObject({ exit: 0, verdict: 'ready', readBack: { method: 'reinserted' } });
    expect(made.notices.join('\n')).toMatch(
      /Take the card out now\. .*lock[\s\S]*Put it back in now[\s\S]*Reading/,
    );
  });

  it('without a lock it is cleaned last, and that is told', async () => {
    const made = bench();
    made.state.facts = { readsPastMemory: false };
    moveCard(made, { litter: true });
    const json = await prepare(made);
    expect(json).toMatchObject({ verdict: 'ready', readBack: { method: 'reinserted' }, mayPull: true });
    expect(json.findings.map((one: any) => one.code)).toContain('cleaned-last');
    expect(onCard(made)).toEqual([imageName]);
  });

  it('not a card that lost the file while it was out', async () => {
    const made = bench();
    made.state.facts = { readsPastMemory: false };
    moveCard(made, { loses: true });
    const json = await prepare(made);
    expect({ exit: json.exit, codes: codes(json) }).toEqual({ exit: 3, codes: ['image-missing'] });
  });

  it('not another card that was put in', async () => {
    const made = bench();
    made.state.facts = { readsPastMemory: false };
    moveCard(made, { other: true });
    await expect(prepare(made)).rejects.toMatchObject({
      facts: { code: 'card-changed', exit: 5, summary: expect.stringContaining('not ready') },
    });
  });

  it('stops while it waits', async () => {
    const made = bench();
    made.state.facts = { readsPastMemory: false };
    let aborted = false;
    Object.defineProperty(made.context, 'stop', {
      value: {
        get aborted() {
          return aborted;
        },
      },
    });
    made.state.onList = () => {
      if (made.notices.some((line) => line.startsWith('Take the card out'))) aborted = true;
    };
    await expect(prepare(made)).rejects.toMatchObject({ facts: { code: 'stopped', exit: 130 } });
  });

  it('not where the card cannot be unmounted afterwards: it is marked as in use', async () => {
    const made = bench();
    made.state.onMount = () => {
      made.state.mayUnmount = false;
    };
    const json = await prepare(made);
    expect({ exit: json.exit, codes: codes(json), mayPull: json.mayPull }).toEqual({
      exit: 3,
      codes: ['volume-dirty'],
      mayPull: false,
    });
  });
});

/** A person takes the card out as asked and puts one back. */
function moveCard(
  made: MountedBench,
  how: { locked?: boolean; litter?: boolean; loses?: boolean; other?: boolean },
): void {
  const { state, notices } = made;
  let polls = 0;
  state.onList = () => {
    if (!notices.some((line) => line.startsWith('Take the card out'))) return;
    polls++;
    state.isOut = polls === 2;
    if (polls !== 3) return;
    state.isMounted = true;
    if (how.locked) state.drive = { ...state.drive, readOnly: true };
    if (how.litter) writeFileSync(join(made.card, '.DS_Store'), 'x');
    if (how.loses) rmSync(join(made.card, imageName));
    if (how.other) {
      const parts = state.drive.parts.map((part) => ({ ...part, volumeId: 'FFFF-0001' }));
      state.drive = { ...state.drive, parts };
    }
  };
}

type Spoil = (volume: MountedVolume) => Partial<MountedVolume>;
const fails = (code: string) => () => {
  throw new Failure({ code, exit: 6, summary: 'The card failed.', next: 'Take another.' });
};

describe('a card that fails', () => {
  it.each<[string, Spoil, string]>([
    [
      'while it is written',
      (v) => ({ startNew: (f) => ({ ...v.startNew(f), write: fails('card-failed') }) }),
      'as they were',
    ],
    [
      'when it is flushed',
      (v) => ({ startNew: (f) => ({ ...v.startNew(f), keep: fails('card-failed') }) }),
      'as they were',
    ],
    ['when the folder is flushed', () => ({ flush: fails('card-gone') }), 'as they were'],
    ['when something is removed', () => ({ removeFile: fails('card-failed') }), 'not ready'],
    ['when the image gets its name', () => ({ rename: fails('card-gone') }), 'not ready'],
  ])('%s ends with exit 6 and says how the card stands', async (_, spoil, says) => {
    const made = bench({ files: { a: 'a' } });
    made.state.wrap = (volume) => ({ ...volume, ...spoil(volume) });
    await expect(prepare(made)).rejects.toMatchObject({
      facts: { exit: 6, summary: expect.stringContaining(says) },
    });
    if (says === 'as they were') expect(existsSync(join(made.card, 'a'))).toBe(true);
  });

  it.each<[string, Spoil]>([
    ['shows an empty folder where files were', () => ({ list: () => [] })],
    [
      'gives one wrong bit back',
      (v) => ({
        *chunks(file) {
          for (const chunk of v.chunks(file)) {
            chunk[100] = (chunk[100] ?? 0) ^ 1;
            yield chunk;
          }
        },
      }),
    ],
    [
      'gives fewer bytes back',
      (v) => ({
        *chunks(file) {
          for (const chunk of v.chunks(file)) yield chunk.subarray(1);
        },
      }),
    ],
  ])('and %s at the new mount is not ready, whatever was said before', async (_, spoil) => {
    const made = bench();
    made.state.onMount = () => {
      made.state.wrap = (volume) => ({ ...volume, ...spoil(volume) });
    };
    const json = await prepare(made);
    expect(json).toMatchObject({ exit: 3, verdict: 'not-ready', entry: null });
    expect(codes(json).length).toBeGreaterThan(0);
  });
});
