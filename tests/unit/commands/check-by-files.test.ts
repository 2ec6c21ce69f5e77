// `check` of a mounted card by a person who may not open the card itself.

import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, expect, it } from 'vitest';
import { run } from '../../../src/commands/check.ts';
import { imageName } from '../../support/card-workspace.ts';
import {
  type BenchOptions,
  cardImage,
  type MountedBench,
  mountedBench,
  mountedRule,
} from '../../support/mounted-bench.ts';

const open: MountedBench[] = [];
afterEach(() => {
  for (const bench of open.splice(0)) bench.close();
});
function bench(options?: BenchOptions): MountedBench {
  const made = mountedBench(options);
  open.push(made);
  return made;
}
const good = { [imageName]: cardImage };

async function check({ context, card }: MountedBench, given = card) {
  const { exit, json, text } = await run(context, [given], { for: 'rill-40' });
  const {
    verdict,
    findings,
    card: seen,
  } = json as {
    verdict: string;
    findings: { code: string; severity: string; next: string }[];
    card: { kind: string; files: { path: string; role: string }[] };
  };
  const stops = findings.filter(({ severity }) => severity === 'stop').map(({ code }) => code);
  return { exit, verdict, findings, stops, card: seen, text };
}

it('is ready where the file is right and was read from the card; what was not looked at is named', async () => {
  const { exit, verdict, findings, card } = await check(bench({ files: good }));
  expect({ exit, verdict, kind: card.kind }).toEqual({ exit: 0, verdict: 'ready', kind: 'mounted' });
  const [told] = findings.filter(({ code }) => code === 'not-examined');
  expect(told).toMatchObject({ severity: 'warn', next: expect.stringContaining('sudo') });
  expect(card.files).toEqual([{ path: imageName, bytes: cardImage.length, role: 'image' }]);
});

it('goes by the device as well, and without a release says whether the card is sound', async () => {
  const made = bench({ files: good });
  expect((await check(made, '/dev/sdq')).verdict).toBe('ready');
  expect((await run(made.context, [made.card], {})).json).toMatchObject({ verdict: 'sound' });
});

it.each([
  ['this system reads through its memory', { readsPastMemory: false }],
  ['something was written since it was put in', { traffic: { readBytes: 9, writtenBytes: 4096 } }],
  ['the system does not count', { traffic: null }],
])('is not ready where %s', async (_, facts) => {
  const made = bench({ files: good });
  made.state.facts = facts;
  const { exit, verdict, stops } = await check(made);
  expect({ exit, verdict, stops }).toEqual({ exit: 3, verdict: 'fixable', stops: ['not-read-from-card'] });
});

it.each([
  ['contiguous: true', 'in one piece'],
  ['rootSlots: 4', 'first entries'],
  ['activePartition: true', 'active flag'],
])('is unfit where the rule asks for what cannot be seen: %s', async (more, expected) => {
  const { verdict, stops, findings } = await check(
    bench({ files: good, rule: mountedRule.replace(/ }$/, `, ${more} }`) }),
  );
  expect({ verdict, stops }).toEqual({ verdict: 'unfit', stops: ['rule-needs-device'] });
  expect(findings.at(-1)).toMatchObject({ expected: expect.stringContaining(expected) });
});

it('tells strays, litter, wrong bytes, lengths, names and places by the codes of a look at the card itself', async () => {
  const wrong = cardImage.slice();
  wrong[7] = (wrong[7] ?? 0) ^ 1;
  const cases: [Record<string, Uint8Array | string>, string[]][] = [
    [{ ...good, 'note.txt': 'a' }, ['stray-file']],
    [{ ...good, '.DS_Store': 'a' }, ['litter']],
    [{ ...good, [`._${imageName}`]: 'a' }, ['litter']],
    [{ [imageName]: wrong }, ['image-digest-mismatch']],
    [{ [imageName]: cardImage.subarray(1) }, ['image-size-mismatch']],
    [{}, ['image-missing']],
    [{ 'RILL40.OLD': cardImage }, ['image-misnamed']],
    [{ 'OLD/RILL40.FWU': cardImage }, ['image-misplaced']],
    [{ [imageName.toLowerCase()]: cardImage }, ['image-long-name']],
    [{ 'Rill40 (1).fwu': cardImage }, ['image-misnamed']],
  ];
  for (const [files, stops] of cases) {
    const checked = await check(bench({ files }));
    expect({ verdict: checked.verdict, stops: checked.stops }).toEqual({ verdict: 'fixable', stops });
  }
});

it('judges the card by what the system says of it', async () => {
  const drives = (made: MountedBench, change: object) => {
    made.state.drive = { ...made.state.drive, ...change };
    return made;
  };
  const part = (change: object) => {
    const made = bench({ files: good });
    return drives(made, { parts: made.state.drive.parts.map((one) => ({ ...one, ...change })) });
  };
  expect((await check(part({ fileSystem: 'ntfs' }))).stops).toEqual(['file-system-not-allowed']);
  expect((await check(part({ fileSystem: 'fat12' }))).stops).toEqual(['file-system-not-allowed']);
  expect((await check(part({ fileSystem: 'exfat' }))).stops).toEqual([]);
  expect((await check(drives(bench({ files: good }), { sizeBytes: 8e9 }))).stops).toEqual([
    'capacity-too-large',
  ]);
  expect((await check(drives(bench({ files: good }), { partitionTable: 'gpt' }))).stops).toEqual([
    'partition-table-not-allowed',
  ]);
  expect((await check(drives(bench({ files: good }), { partitionTable: null }))).stops).toEqual([
    'rule-needs-device',
  ]);
  const two = bench({ files: good });
  const [first] = two.state.drive.parts;
  const parts = [first, { ...first, device: '/dev/sdq2', mountPoints: [] }];
  expect((await check(drives(two, { parts }))).stops).toContain('several-partitions');
  const clusters = bench({ files: good });
  clusters.state.facts = { clusterBytes: 131_072 };
  expect((await check(clusters)).stops).toEqual(['cluster-too-large']);
  const full = bench();
  full.state.facts = { freeBytes: 8192 };
  expect((await check(full)).stops).toEqual(['no-room']);
});

it('follows no link, and says so of whatever is neither file nor folder', async () => {
  const made = bench({ files: good });
  const outside = join(made.card, '..', 'outside');
  mkdirSync(outside);
  writeFileSync(join(outside, 'secret'), 'x');
  symlinkSync(outside, join(made.card, 'LINK'));
  const { stops, card } = await check(made);
  expect(stops).toEqual(['entry-unknown']);
  expect(card.files.map(({ path }) => path)).toEqual([imageName]);
});

it('says what to do where the card is not mounted, and refuses a folder that is no card', async () => {
  const made = bench({ files: good });
  made.state.isMounted = false;
  await expect(check(made, '/dev/sdq')).rejects.toMatchObject({
    facts: { code: 'no-permission', exit: 2, next: expect.stringContaining('file manager') },
  });
  made.state.isMounted = true;
  await expect(check(made, join(made.card, '..'))).rejects.toMatchObject({
    facts: { code: 'card-absent', exit: 2 },
  });
});

it('does not walk through a disk of the computer', async () => {
  const made = bench({ files: good });
  made.state.drive = { ...made.state.drive, bus: 'sata', removable: false, hotplug: false };
  await expect(check(made)).rejects.toMatchObject({ facts: { code: 'no-permission' } });
});
