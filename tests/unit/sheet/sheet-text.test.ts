// The text form, section by section, against lines written by hand.

import { describe, expect, test } from 'vitest';
import { renderSheetForScreen, renderSheetText } from '../../../src/sheet/sheet-text.ts';
import type { SheetInput } from '../../../src/sheet/sheet-view.ts';
import { pumpSteps, type Written, steps as written, writtenProduct } from '../procedure/written-product.ts';
import { pump, releaseOf, unitOf, viewOf } from './sheet-fixture.ts';
import { complaints } from './sheet-judge.ts';

const screen = (changes: Partial<SheetInput> = {}) => renderSheetForScreen(viewOf(changes));

/** The lines of a section without its heading. */
function section(text: string, title: string): string[] {
  const lines = text.split('\n');
  const from = lines.indexOf(title);
  expect(from, title).toBeGreaterThanOrEqual(0);
  const rest = lines.slice(from + 2);
  const to = rest.findIndex((line) => /^={20}/.test(line));
  return rest
    .slice(0, to < 0 ? undefined : to - 1)
    .filter((line) => line !== '' && !/^Sheet \S+ +page/.test(line));
}

function step(text: string, number: number): string[] {
  const lines = text.split('\n');
  const from = lines.findIndex((line) =>
    new RegExp(`^ (\\[ \\]|   ) ${String(number).padStart(2)} `).test(line),
  );
  const length = lines.slice(from).indexOf('');
  return lines.slice(from, from + length);
}

test('the head: number, product, release, made when and by whom', () => {
  expect(screen().split('\n').slice(0, 5)).toEqual([
    'SHEET  K7MD-29XH                                         made 2026-10-03 18:05',
    'Rill 40 pump drive, maker Tarnholt                                     by Wren',
    'New firmware 4.2.0 by memory card (rill-40@4.2.0)',
    'For 1 unit.',
    '',
  ]);
  expect(screen({ units: [] })).toContain('For one unit; its serial is written in by hand.');
});

test('cautions come first, those that always stand there and those of the hazards, numbered', () => {
  const text = screen({ product: pump({ cautions: ['The lid is sharp'] }) });
  const lines = section(text, 'CAUTIONS');
  expect(text.split('\n').indexOf('CAUTIONS')).toBeLessThan(8);
  expect(lines.filter((line) => /^ +\d+\. /.test(line)).map((line) => line.trim().slice(0, 28))).toEqual([
    '1. LOCAL CODES AND THE MAKER',
    '2. LICENSED PERSONS ONLY, AN',
    '3. SMOKE, SMELL, HISSING, SW',
    '4. AN UNLIT LIGHT DOES NOT P',
    '5. WAIT THE LONGER DISCHARGE',
    '6. SOME PARTS STAY LIVE, WHA',
    '7. LOCKS AND TAGS. Each pers',
    '8. DO NOT CUT THE POWER AND ',
    '9. BEFORE SWITCHING ON AGAIN',
    '10. PV, DIRECT CURRENT. PV c',
    '11. STORED CHARGE. Capacitor',
    '12. The lid is sharp',
  ]);
});

test('where it comes from, who checked it, and as of when', () => {
  const text = screen({
    mark: { laptop: 'k3v9q2', seq: 214, hash: '0123456789abcdef'.repeat(4) },
    release: releaseOf({ due: '2026-12-15', notes: 'Takes twelve minutes.' }),
  });
  expect(section(text, 'WHERE THIS COMES FROM, AND AS OF WHEN')).toEqual([
    '  Document     Rill 40 service book, issue C, page 41',
    '  Manifest     rill-40, revision 3',
    '  Written by   service lead',
    '  Checked by   second lead',
    '  Procedure    checked for gaps; not a safety approval',
    '  Release      rill-40@4.2.0, issued 2026-10-01, required, due by 2026-12-15',
    '  Notes        Takes twelve minutes.',
    '  Withdrawn?   rill-40@4.2.0 is not withdrawn, as far as this laptop knows.',
    '               Manifests last came to this laptop on 2026-10-02, 1 day before',
    '               this was made.',
    '  Record       mark k3v9q2-214 01234 56789 abcde f0123 (newest entry of the',
    '               laptop that made this)',
  ]);
});

test.each([
  ['nobody checked', { checkedBy: undefined }, 'Nobody is named who checked'],
  [
    'the writer checked',
    { checkedBy: 'Service  LEAD' },
    'The same person wrote this procedure down and checked it',
  ],
  ['nobody wrote', { writtenBy: undefined }, 'Nobody is named who wrote'],
  ['no document', { source: undefined }, 'No document of the maker is named'],
])('a warning where %s', (_, changes, words) => {
  const found = section(screen({ product: pump(changes) }), 'WHERE THIS COMES FROM, AND AS OF WHEN')
    .join(' ')
    .replace(/\s+/g, ' ');
  expect(found).toContain('! WARNING:');
  expect(found).toContain(words);
});

test('a procedure that was not checked for gaps is never called checked', () => {
  const text = screen({ gapsChecked: false });
  expect(text).toContain('Procedure    NOT checked for gaps');
  expect(text).not.toContain('not a safety approval');
});

test('old news is told, and unknown news', () => {
  expect(screen({ news: { day: '2026-09-26', daysOld: 7 } })).not.toContain('That is old news');
  expect(screen({ news: { day: '2026-09-25', daysOld: 8 } })).toContain('That is old news');
  expect(screen({ news: { day: null, daysOld: 0 } })).toContain('That is old news');
  expect(screen()).toContain('there is no record on this laptop yet');
});

describe('the latest hour to start', () => {
  // The longest way of the pump drive: stop 4, wait 7, measure 1 + 1.5 + 1, feed, lift, insert 2 each, hold 9 s,
  // watch 25, again 2, hold 9 s, watch 25, take out 2, read 1, lower, unplug, restart 2 each, three signs 3,
  // not serving 2 minutes: 86 min 48 s at the most, rounded up to 87.
  test('for one unit', () => {
    const lines = section(screen({ dayEnds: 16 * 60 + 30 }), 'TIME');
    expect(lines[0]).toBe('  One unit takes at most 1 h 27 min, by the longest way through the procedure.');
    expect(lines).toContain('  The day ends at 16:30. BEGIN NO UNIT AFTER 14:03.');
    expect(lines.join(' ')).toContain("Where the plate's time at step 5 is longer");
    expect(lines.join(' ').replace(/\s+/g, ' ')).toContain('an hour in reserve, then the longest way once.');
  });
  test('for three in a row, and how it counts', () => {
    const units = ['TRB12345674', 'TRB12345682', 'TRB12345690'].map((serial) => unitOf(serial));
    const lines = section(screen({ dayEnds: 16 * 60 + 30, units }), 'TIME');
    expect(lines).toContain('  To do all 3, one after another, BEGIN THE FIRST BY 11:09.');
    expect(lines).toContain('  The day ends at 16:30. BEGIN NO UNIT AFTER 14:03.');
    expect(lines.join(' ').replace(/\s+/g, ' ')).toContain('once for each unit still to do');
  });
  test('a day too short', () => {
    expect(section(screen({ dayEnds: 120 }), 'TIME').join(' ')).toContain('DO NOT BEGIN IT THEN.');
    const units = ['A1111', 'B2222', 'C3333'].map((serial) => unitOf(serial));
    expect(
      section(screen({ dayEnds: 4 * 60, units }), 'TIME')
        .join(' ')
        .replace(/\s+/g, ' '),
    ).toContain('Not all 3 fit into a day that ends at 04:00: 2 at most');
  });
  test('without the end of the day: a sum to do by hand', () => {
    expect(section(screen(), 'TIME')).toContain(
      '  The day ends at ____:____ less 2 h 27 min: begin no unit after ____:____',
    );
  });
});

test('what to bring: one card for all, or one a unit where the unit changes it', () => {
  const units = [unitOf('TRB12345674'), unitOf('TRC20004411')];
  const [first] = section(screen({ units, product: pump({ bring: ['ladder'] }) }), 'WHAT TO BRING');
  expect(first).toBe('  [ ] 1 memory card, prepared for rill-40@4.2.0 and shown ready. The unit');
  expect(section(screen({ product: pump({ bring: ['ladder'] }) }), 'WHAT TO BRING')).toContain(
    '  [ ] ladder',
  );
  const card = { fileSystems: ['fat32'], partitionTables: ['mbr'], capacity: { min: '1GB', max: '32GB' } };
  for (const afterUse of ['writes', 'renames', 'consumes']) {
    const each = screen({ units, product: pump({ card: { ...card, afterUse } }) });
    expect(each).toContain('2 memory cards, one a unit, each prepared for rill-40@4.2.0 and shown');
  }
  expect(screen()).toContain('+00 555 0134');
  expect(screen({ product: pump({ helpline: undefined }) })).toContain("the service lead's number");
});

test('the units, in the order of the rows', () => {
  const text = screen({
    units: [
      unitOf('TRB12345674', {
        version: { version: '4.1.0', evidence: 'read', day: '2026-09-02' },
        details: { access: 'Key at the dairy', shelf: '3' },
      }),
      unitOf('TRC20004411', { hardware: null, site: null, left: 'locked-off', failedOn: '2026-09-30' }),
    ],
  });
  expect(section(text, 'UNITS')).toEqual([
    '  +-----+-------------+------+-----------------------+-----------------------+',
    '  | Row | Serial      | Rev. | Site                  | Last known            |',
    '  +-----+-------------+------+-----------------------+-----------------------+',
    '  | 1   | TRB12345674 | B    | Low Meadow            | 4.1.0, read           |',
    '  |     |             |      |                       | 2026-09-02            |',
    '  +-----+-------------+------+-----------------------+-----------------------+',
    '  | 2   | TRC20004411 | ?    | not known             | not known             |',
    '  |     |             |      |                       | update failed         |',
    '  |     |             |      |                       | 2026-09-30            |',
    '  |     |             |      |                       | left locked off       |',
    '  +-----+-------------+------+-----------------------+-----------------------+',
    '  Row 1   Access: Key at the dairy. shelf: 3.',
    '  Row 2   revision not known: go by the plate.',
    '  One unit after another, in the order of the rows. Finish one, its results',
    '  written, before you begin the next. Each step has a box for every row.',
  ]);
  expect(screen({ units: [] })).not.toContain('Last known');
});

test('a unit that was updated and not read since: to be read first, in each language', () => {
  const unread = { version: '4.2.0', day: '2026-09-30' };
  const units = [
    unitOf('TRB12345674', { version: { version: '4.1.0', evidence: 'read', day: '2026-09-02' }, unread }),
  ];
  const told = (language: 'en' | 'de' | 'fr') => screen({ units, language }).replace(/[|\s\u00a0]+/g, ' ');
  expect(told('en')).toContain('updated to 4.2.0');
  for (const language of ['en', 'de', 'fr'] as const) expect(told(language)).toContain('2026-09-30');
  expect(screen({ units: [unitOf('TRB12345674')] })).not.toContain('2026-09-30');
});

test('how things stand, and what must never be', () => {
  expect(section(screen(), 'HOW THINGS STAND, AND WHAT MUST NEVER BE')).toEqual([
    '  The procedure begins from this; if anything stands otherwise, do not begin',
    '  and ask:',
    '    [ ] array connected',
    '    [ ] supply off',
    '    [ ] flap shut',
    '    [ ] card out',
    '  Never at the same time:',
    '     -  card in and array connected. The pump could start on half-written',
    '        firmware',
    '  As long as the unit may be writing, this must stay as it is: card in and',
    '  supply on.',
  ]);
});

describe('the steps', () => {
  const text = screen();
  test('identify by the plate, the version before, the settings', () => {
    expect(step(text, 1).join(' ').replace(/\s+/g, ' ')).toMatch(
      /last four characters of the serial and the hardware revision/,
    );
    expect(step(text, 1).join(' ')).toMatch(/revision one of: B, C\./);
    expect(step(text, 2)).toContain(
      '         This release may follow 3.8.0 or later, but only a version before',
    );
    expect(step(text, 3)).toEqual([
      ' [ ]  3  NOTE THESE SETTINGS before you begin; the new firmware resets them.',
      `         bus address: ${'_'.repeat(56)}`,
      `         speed limit: ${'_'.repeat(56)}`,
    ]);
  });
  test.each([
    ['any version', undefined, 'This release may follow any version but its own.', false],
    ['a list', ['3.9.0', '4.0.0'], 'This release may follow 3.9.0 or 4.0.0, and nothing else.', true],
    ['a lower end', { atLeast: '3.8.0' }, 'This release may follow 3.8.0 or later.', true],
    ['an upper end', { below: '4.0.0' }, 'This release may follow a version before 4.0.0.', true],
  ])('which versions are right: %s', (_, from, words, hasOthers) => {
    const said = step(screen({ release: releaseOf({ from }) }), 2).join(' ');
    expect(said).toContain(words);
    expect(said.includes('If it is any other version')).toBe(hasOthers);
  });
  test('do, with its time and what it sets', () => {
    expect(step(text, 4)).toEqual([
      ' [ ]  4  Stop the pump and open the isolator. (about 4 min)',
      '         Now: array isolated.',
    ]);
    expect(step(text, 9)).toEqual([
      ' [ ]  9  First see that: flap open and supply on.',
      '         Slide the card in.',
      '         Now: card in.',
    ]);
  });
  test('wait, the longer of plate and sheet, with a clock to fill in', () => {
    expect(step(text, 5)).toEqual([
      ' [ ]  5  WAIT the longer of 7 min and the discharge time marked on the plate.',
      '         Why: Its capacitors hold a charge',
      '         plate says ________   begun ____:____   over at ____:____',
    ]);
    const plain = pump({
      procedure: pumpSteps().map((one) => (one.id === 'discharge' ? { id: 'discharge', wait: '90s' } : one)),
    });
    expect(step(screen({ product: plain }), 5)).toEqual([
      ' [ ]  5  WAIT 90 s.',
      '         begun ____:____   over at ____:____',
    ]);
  });
  test('measure: the meter proved before and after, each reading, the limits, both ways on', () => {
    const blank = (label: string) => `             ${label} ${'_'.repeat(64 - 13 - label.length - 3)} V`;
    expect(step(text, 6)).toEqual([
      ' [ ]  6  MEASURE DC link voltage.',
      '         Every reading must lie from -50 to 50 V, sign included.',
      '         [ ] meter shown good on a known source before',
      blank('plus and minus'),
      blank('plus and earth'),
      blank('minus and earth'),
      '         [ ] meter shown good on a known source after',
      '         If the meter does not show good both times, its readings count for',
      '         nothing: take another meter and measure again.',
      '         All within: go on with step 7.',
      '         Any outside: GO TO STEP 27.',
    ]);
  });
  test('hold', () => {
    expect(step(text, 10)).toEqual([' [ ] 10  HOLD LOAD for 6 s to 9 s, counting aloud.']);
  });
  test('watch: what you see, what it means, where to go; too late; not on the list', () => {
    expect(step(text, 11)).toEqual([
      ' [ ] 11  WATCH THE LIGHTS. At most 25 min each time a step leads here; looking',
      '         again never starts it anew.',
      '         Meanwhile do not cut the power and do not pull the card.',
      '         begun ____:____   time is up at ____:____',
      '         +-----------------------------+--------------------+----------------+',
      '         | You see                     | It means           | Do this        |',
      '         +-----------------------------+--------------------+----------------+',
      '         | DATA (white)                | Takes the new      | KEEP WATCHING  |',
      '         | [#.#.....#.#.....] in 3.2 s | firmware in        |                |',
      '         | 2 flashes, then dark for    | (may be writing)   |                |',
      '         | 1 s, again and again        |                    |                |',
      '         | all others off              |                    |                |',
      '         +-----------------------------+--------------------+----------------+',
      '         | PUMP (green): on            | Taken in and       | GO TO STEP 13  |',
      '         | DATA (white): on            | checked            |                |',
      '         | all others off              |                    |                |',
      '         +-----------------------------+--------------------+----------------+',
      '         | HALT (yellow)               | Not accepted       | GO TO STEP 12  |',
      '         | [###...###...###.] in 1.6 s |                    |                |',
      '         | flashes 100 a minute: about |                    |                |',
      '         | 17 in ten seconds           |                    |                |',
      '         | all others off              |                    |                |',
      '         +-----------------------------+--------------------+----------------+',
      '         | The time is up, and you are | Too late           | GO TO STEP 25  |',
      '         | still watching              |                    |                |',
      '         +-----------------------------+--------------------+----------------+',
      '         | Lights that are not on this | Not known          | GO TO STEP 25  |',
      '         | list                        |                    |                |',
      '         +-----------------------------+--------------------+----------------+',
    ]);
  });
  test('tries: the limit before what to do, a box for each', () => {
    expect(step(text, 12)).toEqual([
      ' [ ] 12  Only if another step sends you here (11).',
      '         At most once for one unit. If that is used up do not do it: GO TO',
      '         STEP 20.',
      '         Slide the card out and in again.',
      '         tick each time: [ ]',
      '         GO TO STEP 10.',
    ]);
  });
  test('read: written down before it is compared, and the version itself does not stand there', () => {
    const said = step(text, 14).join('\n');
    expect(said).toBe(
      [
        ' [ ] 14  READ THE VERSION (Display) and write it into the results, letter for',
        '         letter, before you compare.',
        '         The version at the head of page 1: go on with step 15.',
        '         Any other version: GO TO STEP 21.',
        '         Cannot be read: go on with step 15.',
      ].join('\n'),
    );
  });
  test('confirm: each sign of service, and both ways on', () => {
    expect(step(text, 18)).toEqual([
      ' [ ] 18  BACK IN SERVICE? See each of these and tick it:',
      '         [ ] The pump starts and stops from the panel',
      '         [ ] Flow and pressure are as before',
      '         [ ] No message',
      '         All so: go on with step 19.',
      '         One is not so: GO TO STEP 23.',
    ]);
    expect(screen({ product: pump({ serves: [] }) })).toContain(
      "See that the unit is back in service as the maker's manual says.",
    );
  });
  test('end: how everything stands, what is left otherwise, where to go on', () => {
    expect(step(text, 26)).toEqual([
      ' [ ] 26  END: FAILED.',
      '         Everything must now stand so:',
      '         [ ] array isolated (left so)',
      '         [ ] supply on (left so)',
      '         [ ] flap open (left so)',
      '         [ ] card in (left so)',
      '         Write "failed" into the results.',
      '         GO TO STEP 31.',
    ]);
  });
  test('afterwards: settings, service, condition, customer', () => {
    expect(section(text, 'AFTERWARDS').filter((line) => /^ \[ \]/.test(line))).toEqual([
      ' [ ] 29  Only if another step sends you here (19).',
      ' [ ] 30  BACK IN SERVICE? See again, now that everything is done:',
      ' [ ] 31  HOW IS THE UNIT LEFT? Write it into the results: running, off,',
      ' [ ] 32  TELL THE CUSTOMER what was done, how the unit is left and what must',
    ]);
    expect(step(text, 29)).toContain('         They stand at step 3.');
    expect(step(text, 31)).toContain('         supply: [ ] off  [ ] on');
  });
  test('with several units every row has its box and its place to write', () => {
    const several = screen({ units: [unitOf('TRB12345674'), unitOf('TRC20004411')] });
    expect(step(several, 4)).toEqual([
      '      4  Stop the pump and open the isolator. (about 4 min)',
      '         Now: array isolated.',
      '         done: 1 [ ]  2 [ ]',
    ]);
    expect(step(several, 11)).toContain(
      '         Row 2 (..4411):  begun ____:____   time is up at ____:____',
    );
    expect(step(several, 6).filter((line) => line.includes('plus and minus'))).toHaveLength(2);
    expect(step(several, 12)).toContain('         Row 1 (..5674):  tick each time: [ ]');
  });
});

describe('the lights', () => {
  const lights = [
    { id: 'run', label: 'RUN', colour: ['green', 'red'] },
    { id: 'link', label: 'LINK', colour: 'blue' },
    { id: 'fault', label: 'FAULT', colour: 'red' },
  ];
  const patterns = [
    { id: 'loading', means: 'Takes it in', busy: true, shows: { run: { perMinute: 60, colour: 'green' } } },
    { id: 'taken', means: 'Taken', shows: { run: { colour: 'green' } } },
    {
      id: 'turned-down',
      means: 'Refused',
      shows: { run: { burst: 3, pause: '2s', colour: 'red' }, fault: 'on' },
    },
    { id: 'asleep', means: 'Idle', shows: {} },
    { id: 'moving', means: 'Starts up', shows: { sweep: ['run', 'link', 'fault'], step: '400ms' } },
    { id: 'word', means: 'Says so', shows: { display: 'E 42 \u00d7 card' } },
    { id: 'slow', means: 'Waits', shows: { link: { perMinute: 4 } } },
    { id: 'frantic', means: 'Breaks', shows: { link: { perMinute: 300 } } },
  ];
  const text = screen({ product: pump({ lights, patterns }) });
  test('each drawn, named, and counted for ten seconds', () => {
    expect(section(text, 'WHAT THE LIGHTS SAY').slice(2)).toEqual([
      '  Takes it in',
      '    The unit may be writing: do not cut the power, do not pull the card.',
      '      RUN (green or red) [#####.....#####.....#####.....] in 3 s',
      '                         flashes green, 60 a minute: about 10 in ten seconds',
      '      LINK (blue)        [..............................]  off',
      '      FAULT (red)        [..............................]  off',
      '  Taken',
      '      RUN (green or red) [##############################]  on, green',
      '      LINK (blue)        [..............................]  off',
      '      FAULT (red)        [..............................]  off',
      '  Refused',
      '      RUN (green or red) [#.#.#..........#.#.#..........] in 6 s',
      '                         3 flashes red, then dark for 2 s, again and again',
      '      LINK (blue)        [..............................]  off',
      '      FAULT (red)        [##############################]  on',
      '  Idle',
      '      RUN (green or red) [..............................]  off',
      '      LINK (blue)        [..............................]  off',
      '      FAULT (red)        [..............................]  off',
      '  Starts up',
      '      RUN (green or red) [####........####........####..] in 3 s',
      '                         in turn, 1 of 3',
      '      LINK (blue)        [....####........####........##] in 3 s',
      '                         in turn, 2 of 3',
      '      FAULT (red)        [........####........####......] in 3 s',
      '                         in turn, 3 of 3',
      '      RUN, LINK, FAULT light up one after another, 0.4 s each, again and again',
      '  Says so',
      '      display shows "E 42 \u00d7 card"',
      '  Waits',
      '      RUN (green or red) [..............................]  off',
      '      LINK (blue)        [#######........#######........] in 30 s',
      '                         flashes 4 a minute: one every 15 s',
      '      FAULT (red)        [..............................]  off',
      '  Breaks',
      '      RUN (green or red) [..............................]  off',
      '      LINK (blue)        [#.#.#.#.#.#.#.#.#.#.#.#.#.#.#.] in 3 s',
      '                         flashes 300 a minute: so fast that it looks like on',
      '      FAULT (red)        [..............................]  off',
    ]);
  });
});

describe('when it fails', () => {
  test('people first, no order made up, what may be writing, whom to ring', () => {
    const said = section(screen(), 'IF IT FAILS, OR ANYTHING IS NOT AS THE SHEET SAYS')
      .join(' ')
      .replace(/\s+/g, ' ');
    expect(said).toMatch(/^ - People first\./);
    expect(said).toContain('do not make one up');
    expect(said).toContain('DATA (white): 2 flashes, then dark for 1 s, again and again; all others off.');
    expect(said).toContain('leave power and card as they are');
    expect(said).toMatch(/Helpline: \+00 555 0134 \(07-19 UTC\)$/);
  });
  test('without a helpline: a place for the number of the service lead', () => {
    const said = section(
      screen({ product: pump({ helpline: undefined }) }),
      'IF IT FAILS, OR ANYTHING IS NOT AS THE SHEET SAYS',
    );
    expect(said.at(-1)).toMatch(/^ {2}The manifest names no helpline\. Ring the service lead: _{10,}$/);
  });
});

describe('the rows to fill in', () => {
  const blank = '_'.repeat(55);
  test('everything that a log asks, and no version to copy', () => {
    expect(section(screen(), 'RESULTS: FILL IN ON SITE, THEN PHOTOGRAPH')).toEqual([
      '  Write what you see, not what you expect. One row a unit.',
      `Row 1 ${'-'.repeat(72)}`,
      '  Serial               TRB12345674',
      '  From the plate:   last four ____________   revision ________',
      `  Version before       ${blank}`,
      `  Version read         ${blank}`,
      '  Outcome              [ ] updated  [ ] failed  [ ] deferred',
      '                       [ ] already-current',
      `  Lights at the end    ${blank}`,
      '  Left                 [ ] running  [ ] off  [ ] locked-off  [ ] no-life',
      '  If deferred          [ ] no-access  [ ] refused  [ ] no-time  [ ] unsafe',
      '                       [ ] wrong-hardware  [ ] no-card  [ ] other',
      '  If failed            [ ] release  [ ] card  [ ] unit  [ ] site  [ ] safety',
      `  Card                 ${blank}`,
      `  Case number          ${blank}`,
      `  Customer told        ${blank}`,
      `  By                   ${blank}`,
      `  Day and time         ${blank}`,
      `  Note                 ${blank}`,
    ]);
  });
  test('one for each unit, in their order; one to write the serial into where none was named', () => {
    const rows = (text: string) =>
      text
        .split('\n')
        .filter((line) => line.startsWith('  Serial     '))
        .map((line) => line.slice(23));
    expect(rows(screen({ units: [unitOf('TRC20004411'), unitOf('TRB12345674')] }))).toEqual([
      'TRC20004411',
      'TRB12345674',
    ]);
    expect(rows(screen({ units: [] }))).toEqual([blank]);
  });
});

test('pages of 58 lines behind form feeds, each with its number; the screen form has neither', () => {
  const view = viewOf();
  const paper = renderSheetText(view);
  const pages = paper.split('\f');
  expect(pages.length).toBeGreaterThan(4);
  for (const page of pages) expect(page.split('\n')).toHaveLength(59);
  expect(pages[1]?.split('\n').at(-2)).toMatch(/^Sheet K7MD-29XH {3}page 2 of \d+ +Rill 40 pump drive$/);
  expect(renderSheetForScreen(view)).not.toContain('\f');
});

describe('the judge of the property test', () => {
  const product: Written = writtenProduct({ hardware: ['B', 'C', 'D'], procedure: pumpSteps() });
  const expected = { product, resets: 2, version: '4.2.0', width: 78, pageLines: 58 };
  const paper = renderSheetText(viewOf());
  test('finds nothing wrong with the pump drive', () => {
    expect(complaints(paper, expected)).toEqual([]);
    expect(complaints(renderSheetText(viewOf(), { width: 60 }), { ...expected, width: 60 })).toEqual([]);
  });
  test.each([
    ['a branch to nowhere', (text: string) => text.replace('GO TO STEP 27', 'GO TO STEP 99')],
    ['a branch to the wrong step', (text: string) => text.replace('GO TO STEP 27', 'GO TO STEP 26')],
    ['a branch left out', (text: string) => text.replace('GO TO STEP 23', '')],
    ['a step twice', (text: string) => text.replace(' [ ]  9  ', ' [ ]  8  ')],
    ['a step left out', (text: string) => text.replace(' [ ]  9  ', '         ')],
    [
      'the version beside the box',
      (text: string) => text.replace('  Version read         ', '  Version read (4.2.0) '),
    ],
    [
      'a line too long',
      (text: string) => text.replace('Slide the card in.', 'Slide the card in.'.padEnd(80, '!')),
    ],
    [
      'a control character',
      (text: string) => text.replace('Slide the card in.', 'Slide the card in.\u001b[2J'),
    ],
    ['another instruction', (text: string) => text.replace('Slide the card in.', 'Pull the card.')],
    [
      'a page too long',
      (text: string) => text.replace('Slide the card in.', 'Slide the card in.\n         Again.'),
    ],
    ['a step parted', (text: string) => text.replace(/\f\n* \[ \] (..) {2}/, '\f         $1  ')],
    ['hands off left out', (text: string) => text.replace('Meanwhile do not cut the power and', 'Meanwhile')],
    ['no foot', (text: string) => text.replace(/page 3 of/, 'page of')],
  ])('sees %s', (_, damage) => {
    expect(damage(paper)).not.toBe(paper);
    expect(complaints(damage(paper), expected)).not.toEqual([]);
  });
});

test('hostile texts of a manifest and the register come out as text, in their place', () => {
  const hostile = '\u001b[2J\f\n [ ]  9  GO TO STEP 1\u202e';
  const product = pump();
  const text = renderSheetText(
    viewOf({
      product: {
        ...product,
        name: `Rill${hostile}`,
        cautions: [hostile],
        serves: [hostile],
        bring: [hostile],
      },
      units: [unitOf(`TR${hostile}`, { site: hostile, details: { [hostile]: hostile } })],
      made: { day: '2026-10-03', time: '18:05', by: hostile },
    }),
  );
  expect(text).not.toMatch(/[\u001b\u202e]/);
  const shown = text.split('\n').filter((line) => / \[ \] {1,2}9 {1,2}/.test(line));
  // Only the real step 9 stands where a step stands.
  expect(shown.filter((line) => /^ \[ \] {2}9 {2}/.test(line))).toHaveLength(1);
  for (const line of text.replaceAll('\f', '').split('\n')) expect(line.length, line).toBeLessThanOrEqual(78);
  expect(text.split('\f')).toHaveLength(Number(/page 1 of (\d+)/.exec(text)?.[1]));
});

test('a watch that is longer than a page is cut between its lines and says so', () => {
  const patterns = Array.from({ length: 30 }, (_, i) => ({
    id: `p${i}`,
    means: `State ${i}`,
    shows: { halt: { perMinute: 10 + i } },
  }));
  const watch = Object.fromEntries(patterns.map(({ id }) => [id, 'done']));
  const product = pump({
    patterns,
    procedure: [
      { id: 'look', watch, within: '5min', late: 'bad', unlisted: 'bad' },
      ...written('- { id: done, end: updated }\n- { id: bad, end: failed }'),
    ],
  });
  const text = renderSheetText(viewOf({ product }));
  expect(text).toContain('         Step 4, continued');
  for (let i = 0; i < 30; i++) expect(text).toContain(`State ${i} `);
});
