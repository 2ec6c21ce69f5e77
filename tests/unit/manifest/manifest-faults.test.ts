// Every kind of fault in a manifest, planted one at a time; line and column are counted by hand in pond-3.ts.

import { describe, expect, it } from 'vitest';
import { buildCatalogue } from '../../../src/manifest/build-catalogue.ts';
import type { Finding } from '../../../src/words/finding.ts';
import { pond, pondRelease } from './pond-3.ts';

type Changes = Readonly<Record<number, string>>;
interface Case {
  readonly fault: string;
  readonly change: Changes;
  /** `line:column code` of every stop. */
  readonly told: readonly string[];
  /** Stands in the finding's `expected` or `next`. */
  readonly says?: string;
}

function stopsOf(product: string, release?: string): Finding[] {
  const texts = [{ path: 'P', content: product }];
  if (release !== undefined) texts.push({ path: 'R', content: release });
  return buildCatalogue(texts).findings.filter(({ severity }) => severity === 'stop');
}

function placesOf(findings: readonly Finding[], file: string): string[] {
  return findings
    .filter(({ where }) => where?.startsWith(`${file}:`))
    .map(({ where, code }) => `${where?.slice(2)} ${code}`)
    .sort();
}

const bad = (code: string, change: Changes, told: string, fault: string, says?: string): Case => ({
  fault,
  change,
  told: [`${told} ${code}`],
  ...(says !== undefined && { says }),
});

const yamlFaults: Case[] = [
  bad('duplicate-key', { 5: 'name: A\nname: B' }, '6:1', 'a key twice', 'Remove one'),
  bad(
    'duplicate-key',
    { 13: '  capacity: { min: 1, max: 2GB, min: 3 }' },
    '13:33',
    'a key twice in brackets',
  ),
  bad('schema', { 5: 'name: &n Pond' }, '5:7', 'an anchor', 'Write the value out'),
  bad('schema', { 9: 'versions: *n' }, '9:11', 'an alias', 'in quotes'),
  bad('schema', { 5: 'name: !!str Pond' }, '5:7', 'a tag', 'Remove the tag'),
  bad('schema', { 4: 'maker: ! Tarnholt' }, '4:8', 'a tag without a name', 'Remove the tag'),
  bad('unknown-key', { 5: 'name: Pond\n<<: { revision: 2 }' }, '6:1', 'a merge key'),
  bad('unknown-key', { 5: 'name: Pond\nrevison: 2' }, '6:1', 'a key that nothing knows', 'Write revision'),
  bad('unknown-key', { 13: '  capacity: { min: 16MB, max: 2GB, mix: 1 }' }, '13:36', 'an unknown key inside'),
  bad('schema', { 5: 'name: Pond\n? [a, b]\n: 2' }, '6:3', 'a key that is a list'),
  bad(
    'schema',
    { 5: 'name: Pond\n__proto__: { id: x }' },
    '6:1',
    'a key that means another thing to the tool',
  ),
  bad('schema', { 1: '%YAML 1.1\n---\nmanifest: product' }, '1:1', 'a directive', 'Remove the line'),
  bad(
    'schema',
    { 35: '  - { id: left, end: failed, leaves: { card: in } }\n---\nmanifest: product' },
    '36:1',
    'a second document',
    'a file of its own',
  ),
  bad('schema', { 6: 'hazards: [mains-ac' }, '7:1', 'a bracket left open', 'bracket'),
  bad('schema', { 5: "name: 'Pond" }, '5:12', 'quotes left open'),
  bad('schema', { 11: '\tfileSystems: [fat16]' }, '11:1', 'a tab for indentation', 'blanks'),
  bad('schema', { 5: 'name: Pond: the third' }, '5:7', 'a colon in plain text', 'in quotes'),
  bad('schema', { 5: 'name: "a\\qb"' }, '5:9', 'an unknown escape', 'single quotes'),
  bad('schema', { 5: 'name: @pond' }, '5:7', 'a reserved character', 'in quotes'),
  bad('schema', { 5: `name: ${'['.repeat(60)}` }, '5:30', 'brackets without end'),
];

const productFaults: Case[] = [
  bad('schema', { 1: 'manifest: prodduct' }, '1:11', 'an unknown kind', 'manifest: product'),
  bad('schema', { 1: 'revision: 2' }, '1:1', 'no kind'),
  bad('schema', { 2: 'format: 2' }, '2:9', 'a newer format', '1'),
  bad('schema', { 2: 'format: "1"' }, '2:9', 'a number in quotes'),
  bad('schema', { 3: 'id: Pond-3' }, '3:5', 'capitals in an id', 'lower-case'),
  bad('schema', { 3: 'id: constructor' }, '3:5', 'a name that every object has'),
  bad('schema', { 4: 'maker:' }, '4:7', 'a value left empty', 'text of 1 to 80'),
  bad('schema', { 4: '# maker: Tarnholt' }, '1:1', 'a required key left out', 'Add maker'),
  bad('schema', { 5: 'name: [Pond]' }, '5:7', 'a list for text'),
  bad('schema', { 5: `name: ${'x'.repeat(81)}` }, '5:7', 'text too long'),
  bad('schema', { 5: 'name: "a\\u202Eb"' }, '5:7', 'a mark that turns the reading direction'),
  bad('schema', { 5: 'name: |\n  two\n  lines' }, '5:7', 'text of two lines', 'one line'),
  bad('schema', { 6: 'hazards: [mains-ac, sharks]' }, '6:21', 'an unknown hazard', 'one of: battery-dc'),
  bad('schema', { 6: 'hazards: []' }, '6:10', 'no hazards'),
  bad('schema', { 6: 'hazards: mains-ac' }, '6:10', 'text for a list'),
  bad('duplicate-name', { 6: 'hazards: [mains-ac, mains-ac]' }, '6:21', 'a hazard twice'),
  bad('duplicate-name', { 7: 'hardware: [A, B, A]' }, '7:18', 'a revision twice'),
  bad('schema', { 7: 'hardware: [A B]' }, '7:12', 'a blank in a revision'),
  bad('schema', { 8: "serial: { pattern: '^TP(?=x)$' }" }, '8:20', 'look-around in the pattern', 'RE2'),
  bad('schema', { 8: "serial: { pattern: '^TP([0-9]$' }" }, '8:20', 'a pattern that does not compile'),
  bad('schema', { 8: "serial: { pattern: '^TP$', check: lun }" }, '8:35', 'an unknown check', 'luhn'),
  bad(
    'schema',
    { 8: "serial: { pattern: '^TP$', gtin: '09521234543214' }" },
    '8:34',
    'a wrong GTIN digit',
    '09521234543213',
  ),
  bad(
    'schema',
    { 8: "serial: { pattern: '^TP$', gtin: 9521234543213 }" },
    '8:34',
    'a GTIN of 13 digits',
    '14 digits',
  ),
  bad('schema', { 8: 'serial: {}' }, '8:1', 'no serial pattern'),
  bad('schema', { 9: 'versions: semver' }, '9:11', 'an unknown scheme', 'dotted, date, integer'),
  bad('schema', { 11: '  fileSystems: [fat32, ntfs]' }, '11:24', 'an unknown file system'),
  bad('duplicate-name', { 11: '  fileSystems: [fat32, fat32]' }, '11:24', 'a file system twice'),
  bad('schema', { 13: '  capacity: { min: 16Mb, max: 2GB }' }, '13:20', 'a size in bits', '512MiB'),
  bad('schema', { 13: '  capacity: { min: 16 MB, max: 2GB }' }, '13:20', 'a blank in a size'),
  bad('schema', { 13: '  capacity: { min: 1e6, max: 2GB }' }, '13:20', 'a size with an exponent'),
  bad('schema', { 13: '  capacity: { min: -1, max: 2GB }' }, '13:20', 'a size below nothing'),
  bad('schema', { 13: '  capacity: { min: 3GB, max: 2GB }' }, '13:13', 'min above max', 'no larger'),
  bad('schema', { 13: '  capacity: { max: 2GB }' }, '13:3', 'a capacity without min'),
  bad(
    'schema',
    { 13: '  capacity: { min: 16MB, max: 2GB }\n  maxClusterBytes: 24KiB' },
    '14:20',
    'a cluster size that is no power of two',
  ),
  bad(
    'schema',
    { 13: '  capacity: { min: 16MB, max: 2GB }\n  onlyFile: yes' },
    '14:13',
    'yes for true',
    'true or false',
  ),
  bad(
    'schema',
    { 12: '  partitionTables: [none]', 13: '  capacity: { min: 1, max: 2GB }\n  activePartition: true' },
    '14:20',
    'an active partition without an MBR',
  ),
  bad(
    'duplicate-name',
    { 16: '  - { id: run, label: DUO, colour: [green, red] }', 20: '  - { id: bad, means: R, shows: {} }' },
    '16:11',
    'a light twice',
  ),
  bad(
    'duplicate-name',
    { 16: '  - { id: duo, label: DUO, colour: [red, red] }' },
    '16:42',
    'one colour twice',
  ),
  bad('schema', { 16: '  - { id: duo, label: DUO, colour: [red, green, blue] }' }, '16:36', 'three colours'),
  bad(
    'schema',
    { 16: '  - { id: sweep, label: DUO, colour: red }', 20: '  - { id: bad, means: R, shows: {} }' },
    '16:11',
    'a light called like a word of the format',
  ),
  bad(
    'unknown-name',
    { 19: '  - { id: good, means: Done, shows: { rum: on } }' },
    '19:39',
    'an unknown light',
    'Write run',
  ),
  bad(
    'schema',
    { 19: '  - { id: good, means: Done, shows: { run: blinking } }' },
    '19:44',
    'an unknown show',
    'perMinute',
  ),
  bad(
    'schema',
    { 19: '  - { id: good, means: Done, shows: { run: { perMinute: 0 } } }' },
    '19:57',
    'no flashes a minute',
  ),
  bad(
    'schema',
    { 19: '  - { id: good, means: Done, shows: { run: { burst: 3 } } }' },
    '19:39',
    'a burst without pause',
    'Add pause',
  ),
  bad(
    'unknown-key',
    { 19: '  - { id: good, means: Done, shows: { run: { burst: 3, pauze: 1s, pause: 1s } } }' },
    '19:56',
    'a slip in a burst',
    'Write pause',
  ),
  bad(
    'schema',
    { 19: '  - { id: good, means: Done, shows: { duo: on } }' },
    '19:44',
    'a two-colour light without colour',
    'green or red',
  ),
  bad(
    'unknown-name',
    { 19: '  - { id: good, means: Done, shows: { duo: { colour: blue } } }' },
    '19:54',
    'a colour the light has not',
    'green or red',
  ),
  bad(
    'unknown-name',
    { 19: '  - { id: good, means: Done, shows: { run: { perMinute: 9, colour: red } } }' },
    '19:68',
    'a colour on a light of one',
  ),
  bad(
    'unknown-name',
    { 19: '  - { id: good, means: Done, shows: { sweep: [run, dua], step: 1s } }' },
    '19:52',
    'an unknown light in a sweep',
    'Write duo',
  ),
  bad(
    'schema',
    { 19: '  - { id: good, means: Done, shows: { sweep: [run, duo] } }' },
    '19:37',
    'a sweep without step',
    'sweep and step',
  ),
  bad(
    'schema',
    { 19: '  - { id: good, means: Done, shows: { sweep: [run, duo], step: 1s, run: on } }' },
    '19:47',
    'a sweep over a light that does something else',
  ),
  bad(
    'schema',
    { 19: '  - { id: good, means: Done, shows: { display: OK, run: on } }' },
    '19:37',
    'display and lights',
  ),
  bad(
    'duplicate-name',
    {
      20: '  - { id: good, means: R, shows: {} }',
      26: '    watch: { busy: look, good: out }',
      30: '  - { id: out, do: x, sets: { card: out }, then: out-bad }',
      31: '  - { id: done, end: updated }',
    },
    '20:11',
    'a pattern twice',
  ),
  bad(
    'unknown-name',
    { 22: '  card: { states: [out, in], starts: on, ends: out }' },
    '22:38',
    'an unknown first state',
  ),
  bad(
    'unknown-name',
    { 22: '  card: { states: [out, in], starts: out, ends: off }' },
    '22:49',
    'an unknown last state',
    'one of: out, in',
  ),
  bad(
    'duplicate-name',
    { 22: '  card: { states: [out, in, out], starts: out, ends: out }' },
    '22:29',
    'a state twice',
  ),
  bad(
    'schema',
    {
      22: '  card: { states: [out], starts: out, ends: out }',
      24: '  - { id: insert, do: x }',
      35: '  - { id: left, end: failed }',
    },
    '22:19',
    'a position of one state',
  ),
  bad(
    'unknown-name',
    { 23: 'never:\n  - { when: { cart: in }, why: x }\nprocedure:' },
    '24:15',
    'an unknown position in never',
    'Write card',
  ),
  bad('schema', { 23: 'never:\n  - { when: {}, why: x }\nprocedure:' }, '24:13', 'a never without positions'),
  bad(
    'unknown-name',
    { 23: 'whileBusy: { card: inn }\nprocedure:' },
    '23:20',
    'an unknown state in whileBusy',
    'Write in',
  ),
];

const stepFaults: Case[] = [
  bad(
    'schema',
    { 24: '  - { id: insert, sets: { card: in } }' },
    '24:5',
    'a step that does nothing',
    'does one of',
  ),
  bad(
    'schema',
    { 24: '  - { id: insert, do: a, wait: 3s, sets: { card: in } }' },
    '24:5',
    'a step that does two things',
    'exactly one',
  ),
  bad('schema', { 24: '  - Put the card in' }, '24:5', 'text for a step'),
  bad(
    'schema',
    { 24: '  - { do: Put the card in, sets: { card: in } }' },
    '24:5',
    'a step without id',
    'Add id',
  ),
  bad(
    'duplicate-name',
    { 34: '  - { id: out, do: Call the helpline }', 28: '    late: out-bad', 29: '    unlisted: out-bad' },
    '34:11',
    'a step twice',
  ),
  bad(
    'unknown-name',
    { 24: '  - { id: insert, do: x, sets: { cart: in } }' },
    '24:34',
    'an unknown position in sets',
    'Write card',
  ),
  bad(
    'unknown-name',
    { 24: '  - { id: insert, do: x, sets: { card: im } }' },
    '24:40',
    'an unknown state in sets',
  ),
  bad(
    'unknown-name',
    { 24: '  - { id: insert, do: x, needs: { slot: up }, sets: { card: in } }' },
    '24:35',
    'an unknown position in needs',
  ),
  bad(
    'schema',
    { 24: '  - { id: insert, do: x, sets: { card: in }, takes: 5 }' },
    '24:53',
    'a duration without unit',
    '90s',
  ),
  bad(
    'schema',
    { 24: '  - { id: insert, do: x, sets: { card: in }, takes: 49h }' },
    '24:53',
    'a duration too long',
    '48h',
  ),
  bad('schema', { 24: '  - { id: insert, wait: 0s, sets: { card: in } }' }, '24:25', 'a wait of nothing'),
  bad(
    'unknown-name',
    { 24: '  - { id: insert, do: x, sets: { card: in }, then: loock }' },
    '24:52',
    'an unknown next step',
    'Write look',
  ),
  bad(
    'schema',
    { 24: '  - { id: insert, do: x, sets: { card: in }, tries: 2, then: look }' },
    '24:53',
    'tries without otherwise',
    'then and otherwise',
  ),
  bad('schema', { 24: '  - { id: insert, do: x, sets: { card: in }, tries: 2 }' }, '24:53', 'tries alone'),
  bad(
    'schema',
    { 24: '  - { id: insert, do: x, sets: { card: in }, otherwise: stay }' },
    '24:57',
    'otherwise without tries',
  ),
  bad(
    'schema',
    { 24: '  - { id: insert, hold: GO, for: 6, sets: { card: in } }' },
    '24:34',
    'a hold without unit',
    '20min',
  ),
  bad(
    'schema',
    { 24: '  - { id: insert, hold: GO, sets: { card: in } }' },
    '24:5',
    'a hold without for',
    'Add for',
  ),
  bad(
    'schema',
    { 24: '  - { id: insert, hold: GO, for: [9s, 6s], sets: { card: in } }' },
    '24:34',
    'a hold from long to short',
  ),
  bad(
    'unknown-name',
    { 26: '    watch: { busi: look, good: out, bad: out-bad }' },
    '26:14',
    'an unknown pattern',
    'Write busy',
  ),
  bad(
    'unknown-name',
    { 26: '    watch: { busy: look, good: owt, bad: out-bad }' },
    '26:32',
    'a branch to nowhere',
    'Write out',
  ),
  bad('schema', { 26: '    watch: {}' }, '26:12', 'a watch of nothing'),
  bad('schema', { 27: '    # within' }, '25:5', 'a watch without within', 'Add within'),
  bad('schema', { 28: '    # late' }, '25:5', 'a watch without late', 'Add late'),
  bad('schema', { 29: '    # unlisted' }, '25:5', 'a watch without unlisted', 'Add unlisted'),
  bad('unknown-name', { 28: '    late: stey' }, '28:11', 'late to nowhere', 'Write stay'),
  bad('unknown-name', { 29: '    unlisted: nowhere' }, '29:15', 'unlisted to nowhere', 'one of: insert'),
  bad(
    'unknown-key',
    { 31: '  - { id: done, end: updated, sets: { card: out } }' },
    '31:31',
    'an end that sets',
  ),
  bad(
    'unknown-key',
    { 31: '  - { id: done, end: updated, needs: { card: out } }' },
    '31:31',
    'an end that needs',
  ),
  bad(
    'schema',
    { 31: '  - { id: done, end: success }' },
    '31:22',
    'an unknown end',
    'updated, failed, deferred',
  ),
  bad(
    'unknown-name',
    { 35: '  - { id: left, end: failed, leaves: { cart: in } }' },
    '35:40',
    'an unknown position in leaves',
  ),
  bad(
    'schema',
    { 30: '  - { id: out, read: version, sets: { card: out } }' },
    '30:5',
    'a read without other',
    'Add other',
  ),
  bad(
    'unknown-name',
    { 30: '  - { id: out, read: version, other: no, sets: { card: out } }' },
    '30:38',
    'other to nowhere',
  ),
  bad(
    'unknown-name',
    { 30: '  - { id: out, read: version, other: done, unreadable: no, sets: { card: out } }' },
    '30:56',
    'unreadable to nowhere',
  ),
  bad(
    'schema',
    { 30: '  - { id: out, read: serial, other: done, sets: { card: out } }' },
    '30:22',
    'reading something else',
  ),
  bad(
    'schema',
    { 30: '  - { id: out, confirm: serves, sets: { card: out } }' },
    '30:5',
    'a confirm without otherwise',
    'Add otherwise',
  ),
  bad(
    'schema',
    { 30: '  - { id: out, confirm: serves, otherwise: stay, sets: { card: out } }' },
    '30:25',
    'a confirm without a list serves',
    'serves',
  ),
  bad(
    'schema',
    { 30: '  - { id: out, measure: { what: U, in: V, from: 0, to: 5 }, sets: { card: out } }' },
    '30:5',
    'a measure without otherwise',
    'Add otherwise',
  ),
  bad(
    'schema',
    {
      30: '  - { id: out, measure: { what: U, in: V, from: 9, to: 5 }, otherwise: stay, sets: { card: out } }',
    },
    '30:25',
    'a measure from high to low',
  ),
  bad(
    'schema',
    {
      30: '  - { id: out, measure: { what: U, in: V, from: .nan, to: 5 }, otherwise: stay, sets: { card: out } }',
    },
    '30:49',
    'no number in a measure',
  ),
  bad(
    'schema',
    { 30: '  - { id: out, measure: { what: U, from: 0, to: 5 }, otherwise: stay, sets: { card: out } }' },
    '30:16',
    'a measure without unit',
    'Add in',
  ),
];

const releaseFaults: Case[] = [
  bad('unknown-name', { 3: 'product: pond-4' }, '3:10', 'an unknown product', 'Write pond-3'),
  bad('schema', { 4: 'version: 4.10-rc1' }, '4:10', 'a version of another scheme', 'numbers and dots'),
  bad('schema', { 4: 'version: ../../x' }, '4:10', 'a version with a path in it'),
  bad('schema', { 5: 'sequence: 0' }, '5:11', 'a sequence below one'),
  bad('schema', { 5: 'sequence: 1.5' }, '5:11', 'a sequence that is no whole number'),
  bad('schema', { 6: 'issued: 2026-02-29' }, '6:9', 'a day the calendar has not', 'calendar'),
  bad('schema', { 6: 'issued: 01.10.2026' }, '6:9', 'a date in another form', 'YYYY-MM-DD'),
  bad('schema', { 7: 'priority: urgent' }, '7:11', 'an unknown priority'),
  bad('schema', { 8: 'due: 2026-09-30' }, '8:6', 'due before issued', '2026-10-01 or later'),
  bad('unknown-name', { 9: 'hardware: [A, C]' }, '9:15', 'an unknown revision', 'one of: A, B'),
  bad('duplicate-name', { 9: 'hardware: [A, A]' }, '9:15', 'a revision twice'),
  bad('schema', { 10: 'from: {}' }, '10:7', 'from without ends', 'atLeast, below, or both'),
  bad('schema', { 10: 'from: 3.8' }, '10:7', 'from as one version', 'a list of versions'),
  bad('schema', { 10: 'from: []' }, '10:7', 'from as an empty list', '1 to 200'),
  bad('unknown-key', { 10: 'from: { atLeast: 3.8, bellow: 4.0 }' }, '10:23', 'a slip in from', 'Write below'),
  bad('schema', { 10: 'from: { atLeast: 3.x }' }, '10:18', 'a malformed version in from'),
  bad('schema', { 10: 'from: [3.8, 3.x]' }, '10:13', 'a malformed version in the list'),
  bad('schema', { 10: 'from: { atLeast: 4.10, below: 4.9 }' }, '10:7', 'from that admits nothing', 'older'),
  bad(
    'schema',
    { 12: '  name: pond3.bin' },
    '12:9',
    'lower case where the reader takes 8.3',
    'at most eight',
  ),
  bad('schema', { 12: '  name: POND3FILE.BIN' }, '12:9', 'nine characters where the reader takes 8.3'),
  bad('schema', { 12: '  name: A/POND3.BIN' }, '12:9', 'a separator in a name'),
  bad('schema', { 12: '  name: POND3.BIN\n  folder: ../X' }, '13:11', 'a folder that leads out'),
  bad('schema', { 12: '  name: POND3.BIN\n  folder: /X' }, '13:11', 'a folder that begins with a slash'),
  bad('schema', { 13: '  bytes: 0' }, '13:10', 'an image of nothing'),
  bad('schema', { 13: '  bytes: 3GB' }, '13:10', 'an image larger than the largest card', 'at most'),
  bad('schema', { 13: '  bytes: 4GiB' }, '13:10', 'an image that no FAT holds'),
  bad('schema', { 15: '    sha256: 0123456789abcdef' }, '15:13', 'a digest too short', '64 hexadecimal'),
  bad('schema', { 15: `    sha256: ${'g'.repeat(64)}` }, '15:13', 'a digest with other letters'),
  bad('schema', { 15: '    crc32: 123456789' }, '15:12', 'a crc32 too long', '8 hexadecimal'),
  bad('unknown-key', { 15: `    sha265: ${'0'.repeat(64)}` }, '15:5', 'an unknown digest', 'Write sha256'),
  bad('schema', { 14: '  digests: {}', 15: '' }, '14:12', 'no digest', 'at least one'),
  bad(
    'schema',
    { 15: `    sha256: ${'0'.repeat(64)}\nwithdrawn: { why: x }` },
    '16:1',
    'withdrawn without a date',
    'Add on',
  ),
  bad(
    'schema',
    { 15: `    sha256: ${'0'.repeat(64)}\nwithdrawn: { on: 2026-09-01, why: x }` },
    '16:18',
    'withdrawn before issued',
  ),
];

function judge({ change, told, says }: Case, findings: readonly Finding[], file: string): void {
  expect(placesOf(findings, file), JSON.stringify(change)).toEqual([...told].sort());
  for (const finding of findings) {
    expect(finding.next.length).toBeGreaterThan(5);
    expect(finding.summary).toMatch(/[.!?]$/);
  }
  if (says !== undefined) {
    expect(findings.map(({ expected, next }) => `${expected} ${next}`).join('\n')).toContain(says);
  }
}

describe('the sound manifests that the faults are planted in', () => {
  it('have no stop', () => {
    expect(stopsOf(pond(), pondRelease())).toEqual([]);
  });
});

describe('a fault of form', () => {
  it.each(yamlFaults)('is told: $fault', (one) => {
    const findings = stopsOf(pond(one.change));
    // What the reader of YAML says of one open bracket may be several things; the first is the one that counts.
    if (findings.length > 1 && findings.every(({ summary }) => summary.includes('YAML'))) findings.length = 1;
    judge(one, findings, 'P');
  });
});

describe('a fault in a product', () => {
  it.each(productFaults)('is told: $fault', (one) => judge(one, stopsOf(pond(one.change)), 'P'));
});

describe('a fault in a step', () => {
  it.each(stepFaults)('is told: $fault', (one) => judge(one, stopsOf(pond(one.change)), 'P'));
});

describe('a fault in a release', () => {
  it.each(releaseFaults)('is told: $fault', (one) =>
    judge(one, stopsOf(pond(), pondRelease(one.change)), 'R'),
  );
});

describe('several faults', () => {
  it('are all told, each at its place', () => {
    const change = {
      4: 'maker: [x]',
      6: 'hazards: [sharks]',
      13: '  capacity: { min: 1, max: x }',
      28: '    lade: stay',
    };
    expect(placesOf(stopsOf(pond(change)), 'P')).toEqual(
      ['13:28 schema', '25:5 schema', '28:5 unknown-key', '4:8 schema', '6:11 schema'].sort(),
    );
  });

  it('are told of structure and names together', () => {
    const change = {
      24: '  - { id: insert, do: x, sets: { cart: in }, then: nowhere }',
      26: '    watch: { busi: look }',
    };
    expect(placesOf(stopsOf(pond(change)), 'P')).toEqual([
      '24:34 unknown-name',
      '24:52 unknown-name',
      '26:14 unknown-name',
    ]);
  });

  it('in one file never hide another file', () => {
    const { products, releases, findings } = buildCatalogue([
      { path: 'A', content: ']]]' },
      { path: 'B', content: pond() },
      { path: 'C', content: new Uint8Array([0xff, 0xfe, 0x00]) },
      { path: 'D', content: pondRelease() },
      { path: 'E', content: '' },
    ]);
    expect([...products.keys()]).toEqual(['pond-3']);
    expect(releases.map(({ version }) => version)).toEqual(['4.10']);
    expect([...new Set(findings.filter((f) => f.severity === 'stop').map((f) => f.where?.[0]))]).toEqual([
      'A',
      'C',
      'E',
    ]);
  });
});

describe('what ought to be there', () => {
  const warnings = (changes?: Changes) =>
    buildCatalogue([{ path: 'P', content: pond(changes) }])
      .findings.filter(({ severity }) => severity === 'warn')
      .map(({ code }) => code);

  it('is a warning where it is missing', () => {
    expect(warnings().sort()).toEqual([
      'not-second-checked',
      'serves-missing',
      'source-missing',
      'while-busy-missing',
    ]);
  });

  it.each([
    ['checkedBy: B. Lark', []],
    ['checkedBy: B. Lark\nwrittenBy: b. lark ', ['not-second-checked']],
    ['checkedBy: B. Lark\nwrittenBy: C. Wren', []],
    ['writtenBy: C. Wren', ['not-second-checked']],
  ])('of the second pair of eyes: %j', (line, codes) => {
    expect(warnings({ 5: `name: Pond\n${line}` }).filter((code) => code === 'not-second-checked')).toEqual(
      codes,
    );
  });

  it('is no warning where it is there', () => {
    const full =
      'name: Pond\ncheckedBy: B. Lark\nsource: { document: D }\nserves: [It runs]\nwhileBusy: { card: in }';
    expect(warnings({ 5: full })).toEqual([]);
  });

  it.each([
    ['nothing that stays live', '[mains-ac, heavy]', '', []],
    ['a battery without a test', '[battery-dc]', '', ['dead-test-missing']],
    ['light on panels without a test', '[pv-dc]', '', ['dead-test-missing']],
    ['a charge with neither', '[heavy, stored-charge]', '', ['dead-test-missing', 'discharge-wait-missing']],
    ['a charge only waited for', '[stored-charge]', '  - { id: w, wait: 5min }\n', ['dead-test-missing']],
    [
      'a charge only measured',
      '[stored-charge]',
      '  - { id: m, measure: { what: DC link, in: V, from: 0, to: 5 }, otherwise: stay }\n',
      ['discharge-wait-missing'],
    ],
  ])('is a step that a hazard asks for: %s', (_, hazards, step, codes) => {
    const found = warnings({ 6: `hazards: ${hazards}`, 23: `procedure:\n${step}`.trimEnd() });
    expect(found.filter((code) => /^(dead-test|discharge-wait)/.test(code))).toEqual(codes);
  });

  it('is said of a serial pattern that does not say where it ends', () => {
    expect(warnings({ 8: "serial: { pattern: 'TP[0-9]{6}' }" })).toContain('serial-pattern-open');
    expect(warnings({ 8: "serial: { pattern: '^TP[0-9]{6}\\$' }" })).toContain('serial-pattern-open');
    expect(warnings({ 8: "serial: { pattern: '^TP[0-9]{6}\\\\$' }" })).not.toContain('serial-pattern-open');
  });

  it('is said of digests that are no proof, and not where the download has one', () => {
    const of = (release: string) =>
      buildCatalogue([
        { path: 'P', content: pond() },
        { path: 'R', content: release },
      ])
        .findings.filter(({ where }) => where?.startsWith('R'))
        .map(({ code, where }) => `${where} ${code}`);
    expect(of(pondRelease({ 15: `    sha1: ${'0'.repeat(40)}` }))).toEqual(['R:15:5 weak-digest-only']);
    const download = `download: { name: p.zip, bytes: 9, digests: { sha512: ${'0'.repeat(128)} } }`;
    expect(of(pondRelease({ 15: `    crc32: 00000000\n${download}` }))).toEqual([]);
    expect(of(pondRelease({ 10: 'from: [4.10.0, 4.9]' }))).toEqual(['R:10:8 follows-itself']);
  });
});
