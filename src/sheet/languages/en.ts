// Everything a sheet says, in English. Another language is one more file of this shape, entered in
// `language.ts`. No text here gives an order of switching off or on: that is the manifest's alone, from the
// maker's documents. Each hazard's text leaves the method to local codes, the maker's manual or licensed practice.

import type { Hazard } from '../../manifest/schema.ts';
import { assumedTimes } from '../../procedure/step-time.ts';
import type { AlwaysCaution, CautionText } from '../cautions.ts';
import { glue, internationalSpelling, listWith, spanOfTime } from '../language-parts.ts';

const always: Record<AlwaysCaution, CautionText> = {
  codes: {
    title: "Local codes and the maker's manual win over this sheet.",
    text: 'Where they ask for more, or for something else, do as they say. Where two of them contradict each other, stop and ask.',
  },
  licensed: {
    title: 'Licensed persons only, and not alone.',
    text: 'Do only what your licence and local codes let you do. A second person stays within call and knows whom to ring.',
  },
  'not-dead': {
    title: 'An unlit light does not prove dead.',
    text: 'Prove the meter on a known source, test, prove the meter again. Until then treat it as live.',
  },
  discharge: {
    title: 'Wait the longer discharge time.',
    text: "Where the unit's plate marks one and this sheet gives one, the longer of the two counts. Then test.",
  },
  'stays-live': {
    title: 'Some parts stay live, whatever is switched off.',
    text: 'Battery terminals cannot be switched off. PV stays live in light. Inverters may backfeed and may restart by themselves. A backup output may be live.',
  },
  locks: {
    title: 'Locks and tags.',
    text: "Each person puts on an own lock and tag, as local codes ask, and takes off no one else's.",
  },
  leave: {
    title: 'Smoke, smell, hissing, swelling or heat: leave.',
    text: 'Get people out, keep others away, call the emergency service. People come before the firmware.',
  },
  writing: {
    title: 'Do not cut the power and do not pull the card while the unit is writing,',
    text: 'unless the maker says so. If you cannot tell whether it is writing, take it that it is.',
  },
  'switch-on': {
    title: 'Before switching on again:',
    text: 'covers on, people clear, own locks off, customer told.',
  },
};

const hazards: Record<Hazard, CautionText> = {
  'battery-dc': {
    title: 'Battery, direct current.',
    text: "A battery keeps its full voltage whatever the switches say. A short circuit burns, blinds and throws hot metal. No rings, watches or loose tools; insulated tools, clothing and distances as the maker's manual and local codes ask.",
  },
  'mains-ac': {
    title: 'Mains.',
    text: "Mains voltage kills. There may be more than one supply, and a switch on the unit may not cut all of them. Where it is isolated stands in the maker's manual and the site's drawings; isolating is for licensed persons.",
  },
  'pv-dc': {
    title: 'PV, direct current.',
    text: "PV conductors are live whenever light falls on the panels. An arc in direct current does not go out by itself. Never part a PV connector under load. Isolate only as the maker's manual and local codes say.",
  },
  'stored-charge': {
    title: 'Stored charge.',
    text: "Capacitors hold a dangerous voltage after switching off, and it can come back. Wait the longer of the plate's time and the sheet's, then test in the way licensed practice asks.",
  },
  'automatic-restart': {
    title: 'Starts by itself.',
    text: "The unit may start without warning: by a timer, a signal, returning supply or sun, or when new firmware is in. Keep people and hands clear. What stops it from starting stands in the maker's manual.",
  },
  backfeed: {
    title: 'Backfeed.',
    text: "With the mains off, voltage may still come from an inverter, a battery, a generator or another circuit. Treat both sides of an open switch as live until tested. Every source is named in the site's drawings and the maker's manual.",
  },
  'backup-output-live': {
    title: 'Backup output.',
    text: 'The backup output may be live with the mains off, and may come on at any moment. Ask the customer what hangs on it, and treat those circuits as live until tested as local codes ask.',
  },
  'vehicle-connected': {
    title: 'Connected vehicle.',
    text: "A vehicle brings a battery of its own, may feed back and may hold the plug locked. Never force a plug. Whether a vehicle may be connected during this work stands in the maker's manual; ask the driver, do not guess.",
  },
  'moving-parts': {
    title: 'Moving parts.',
    text: "Shafts, belts, fans and valves may move without warning and may run on after switching off. Hands, hair and sleeves clear, guards on. What must be locked or blocked stands in the maker's manual and local codes.",
  },
  'hot-surfaces': {
    title: 'Hot surfaces.',
    text: "Heat sinks, motors and pipes burn the skin long after switching off. Let them cool, or wear what the maker's manual asks for.",
  },
  pressure: {
    title: 'Pressure.',
    text: "Pipes and vessels may hold pressure with everything at rest. Open no joint for this work. Pressure is let off only as the maker's manual says, by those whom local codes allow.",
  },
  refrigerant: {
    title: 'Refrigerant.',
    text: 'A leak can take the air away, freeze the skin or catch fire. This work does not open the circuit. On a leak leave the room; anything more is for persons licensed for refrigerants under local codes.',
  },
  heavy: {
    title: 'Heavy parts.',
    text: "Doors, covers and modules may be heavier than they look, and may fall when they are loosened. Two persons or lifting gear, as the maker's manual and local codes ask.",
  },
  'work-alone': {
    title: 'Do not work alone here.',
    text: 'A second person stays in sight and hearing the whole time and can call for help. Agree before you begin when to call and where help comes in, as local codes ask.',
  },
};

function plural(count: number, one: string, many: string): string {
  return `${count}${glue}${count === 1 ? one : many}`;
}

/** `90 s`, `7 min`, `1 h 20 min`, `0.4 s`. */
function duration(seconds: number): string {
  return spanOfTime(seconds);
}

function inTime(seconds: number): string {
  return `in ${duration(seconds)}`;
}

/** `a`, `a and b`, `a, b and c`. */
function list(items: readonly string[], last: 'and' | 'or' = 'and'): string {
  return listWith(items, last === 'and' ? 'and' : 'or');
}

export const en = {
  code: 'en',
  name: 'English',
  always,
  hazards,
  duration,
  list,

  head: {
    sheet: 'SHEET',
    work: (version: string) => `New firmware ${version} by memory card`,
    maker: (maker: string) => `maker ${maker}`,
    made: (day: string, time: string) => `made ${day} ${time}`,
    by: (name: string) => `by ${name}`,
    oneUnit: 'For one unit; its serial is written in by hand.',
    units: (count: number) => `For ${plural(count, 'unit', 'units')}.`,
    foot: (number: string, page: number, pages: number) => `Sheet ${number}   page ${page} of ${pages}`,
    continued: 'continued',
  },

  sections: {
    cautions: 'CAUTIONS',
    source: 'WHERE THIS COMES FROM, AND AS OF WHEN',
    time: 'TIME',
    bring: 'WHAT TO BRING',
    units: 'UNITS',
    rules: 'HOW THINGS STAND, AND WHAT MUST NEVER BE',
    before: 'BEFORE YOU TOUCH ANYTHING',
    procedure: "THE MAKER'S PROCEDURE",
    after: 'AFTERWARDS',
    lights: 'WHAT THE LIGHTS SAY',
    failure: 'IF IT FAILS, OR ANYTHING IS NOT AS THE SHEET SAYS',
    results: 'RESULTS: FILL IN ON SITE, THEN PHOTOGRAPH',
  },

  cautions: {
    readAloud:
      "Read these aloud before you begin. They remind, they do not teach: how it is done safely stands in local codes, the maker's manual and licensed practice.",
    here: 'This equipment:',
    maker: 'From the manifest of this product:',
    emergency: 'Emergency service, number here:',
    secondPerson: 'Second person:',
  },

  source: {
    document: 'Document',
    issue: (issue: string) => `issue ${issue}`,
    page: (page: string) => `page ${page}`,
    manifest: 'Manifest',
    revision: (id: string, revision: number | null) =>
      revision === null ? `${id}, no revision given` : `${id}, revision ${revision}`,
    writtenBy: 'Written by',
    checkedBy: 'Checked by',
    notNamed: 'not named',
    warning: 'WARNING:',
    warnings: {
      'no-source':
        "No document of the maker is named as the source of this procedure. Compare it with the maker's manual.",
      'no-writer': 'Nobody is named who wrote this procedure down.',
      'not-checked': "Nobody is named who checked this procedure against the maker's document.",
      'same-checker':
        'The same person wrote this procedure down and checked it. Nobody else has compared it.',
      'dead-test-missing':
        "This equipment may hold a voltage with everything off, and no step of this procedure tests for it. Ask the service lead whether the maker's document does.",
      'discharge-wait-missing':
        "This equipment stores charge, and no step of this procedure waits for it to go. Go by the unit's plate, and ask the service lead.",
    },
    gaps: 'Procedure',
    gapsChecked: 'checked for gaps; not a safety approval',
    gapsNotChecked: 'NOT checked for gaps',
    release: 'Release',
    issued: (day: string) => `issued ${day}`,
    priority: { safety: 'for safety', required: 'required', recommended: 'recommended' },
    due: (day: string) => `due by ${day}`,
    notes: 'Notes',
    withdrawn: 'Withdrawn?',
    notWithdrawn: (id: string) => `${id} is not withdrawn, as far as this laptop knows.`,
    newsAsOf: (day: string, days: number) =>
      `Manifests last came to this laptop on ${day}, ${days === 0 ? 'the day this was made' : `${plural(days, 'day', 'days')} before this was made`}.`,
    newsUnknown: 'When manifests last came to this laptop is not known.',
    newsOld:
      'That is old news, over seven days or not known. Ask the service lead before you leave whether the release still stands.',
    record: 'Record',
    noRecord: 'there is no record on this laptop yet',
    mark: (mark: string) => `mark ${mark} (newest entry of the laptop that made this)`,
  },

  time: {
    longest: (longest: string) =>
      `One unit takes at most ${longest}, by the longest way through the procedure.`,
    shortest: (shortest: string) => `If all goes well it takes about ${shortest}.`,
    unknown: 'The longest way through the procedure is not known. Plan with the service lead.',
    assumedIntro: 'Assumed where the manifest states no time:',
    assumed: assumedTimes as Readonly<Record<keyof typeof assumedTimes, string>>,
    plate: (numbers: readonly number[]) =>
      `Where the plate's time at step ${list(numbers.map(String), 'or')} is longer than the sheet's, add the difference.`,
    latestAny: (time: string, ends: string) => `The day ends at ${ends}. BEGIN NO UNIT AFTER ${time}.`,
    latestFirst: (time: string, count: number) =>
      `To do all ${count}, one after another, BEGIN THE FIRST BY ${time}.`,
    counted: (count: number): string =>
      count === 1
        ? 'Counted back from the end of the day: an hour in reserve, then the longest way once.'
        : `Counted back from the end of the day: an hour in reserve, then the longest way, once for each unit still to do. The way from unit to unit and the writing come out of the reserve.`,
    shared: 'What is done once for the site is counted once.',
    doesNotFit: (ends: string) => `A day that ends at ${ends} has no time for this. DO NOT BEGIN IT THEN.`,
    notAllFit: (count: number, ends: string, fit: number) =>
      `Not all ${count} fit into a day that ends at ${ends}: ${fit} at most, from midnight on.`,
    byHand: (total: string) =>
      `The day ends at${glue}____:____ less ${total}: begin no unit after${glue}____:____`,
    byHandNote: 'That is the longest way once and an hour in reserve.',
    late: 'Later than that do not begin: leave the unit as it is and write "deferred", no-time.',
  },

  bring: {
    sheet: 'This sheet, every page, and a pen.',
    manual: (document: string) => `The maker's manual: ${document}.`,
    makersManual: "The maker's manual of this product.",
    oneCard: (id: string) =>
      `1 memory card, prepared for ${id} and shown ready. The unit leaves it unchanged, so it serves every unit of that kind, one after another.`,
    cardEach: (count: number, id: string) =>
      `${plural(count, 'memory card', 'memory cards')}${count === 1 ? '' : ', one a unit, each'} prepared for ${id} and shown ready. The unit changes the card, so a used one must be prepared again.`,
    meter: 'A voltage meter rated for this work, and a known source to prove it on.',
    locks: 'Own lock and tag, one set a person.',
    phone: (helpline: string) => `A telephone that works there, and the helpline's number: ${helpline}.`,
    phoneOnly: "A telephone that works there, and the service lead's number.",
  },

  units: {
    row: 'Row',
    serial: 'Serial',
    site: 'Site',
    revision: 'Rev.',
    last: 'Last known',
    notKnown: 'not known',
    read: (version: string, day: string) => `${version}, read ${day}`,
    reported: (version: string, day: string) => `${version}, only reported ${day}`,
    failed: (day: string) => `update failed ${day}`,
    unread: (version: string, day: string) => `updated to ${version} ${day}, not read since: read it first`,
    left: {
      running: 'left running',
      off: 'left off',
      'locked-off': 'left locked off',
      'no-life': 'left without life',
    },
    details: { role: 'Role', address: 'Address', contact: 'Contact', access: 'Access', notes: 'Notes' },
    order:
      'One unit after another, in the order of the rows. Finish one, its results written, before you begin the next. Each step has a box for every row.',
    byRole:
      "The rows stand in the order of the units' roles, as the manifest gives it from the maker's document. Begin none while one before it is still to be done.",
    revisionNotKnown: 'revision not known: go by the plate',
  },

  rules: {
    starts: 'The procedure begins from this; if anything stands otherwise, do not begin and ask:',
    later: (placed: string) => `at every unit after the first: ${placed}`,
    never: 'Never at the same time:',
    whileBusy: 'As long as the unit may be writing, this must stay as it is:',
  },

  placed: (position: string, state: string) => `${position} ${state}`,
  placedTogether: (placings: readonly string[]) => list(placings, 'and'),

  steps: {
    step: (number: number) => `Step${glue}${number}`,
    onlyFrom: (numbers: readonly number[]) =>
      `Only if another step sends you here (${list(numbers.map(String), 'or')}).`,
    onlyFromNowhere: 'No step leads here.',
    goTo: (number: number) => `GO TO STEP${glue}${number}`,
    goOn: (number: number) => `go on with step${glue}${number}`,
    stay: 'KEEP WATCHING',
    takes: (time: string) => `(about${glue}${time})`,
    why: 'Why:',
    needs: 'First see that:',
    sets: 'Now:',
    once: {
      first:
        'ONCE FOR THE SITE: only with the first unit that is done here on one day. At every other one go on with the next step.',
      last: 'ONCE FOR THE SITE: only with the last unit that is done here on one day, or before you leave where no other one can be begun. At every other one go on with the next step.',
    },
    endsSite:
      'The work at this site ends here: begin no other unit before the helpline or the service lead says so.',
    done: 'done:',
    rowMark: (row: number, lastFour: string | null) =>
      lastFour === null ? `Row ${row}` : `Row ${row} (..${lastFour})`,

    identify:
      'IS THIS THE UNIT? Read its plate. Write the last four characters of the serial and the hardware revision into its row of the results, from the plate, not from this sheet.',
    identifyMatch: (revisions: readonly string[]) =>
      `They must be those of the row, and the revision one of: ${revisions.join(', ')}.`,
    identifyOtherwise:
      'If they are not: this is not the unit. Stop. Nothing has been touched; write "deferred", wrong-hardware.',
    versionBefore:
      'NOTE THE VERSION BEFORE, as the unit shows it, letter for letter, into its row of the results.',
    fromAny: 'This release may follow any version but its own.',
    fromRange: (atLeast: string | null, below: string | null) => {
      const low = atLeast === null ? '' : `${atLeast} or later`;
      const high = below === null ? '' : `a version before ${below}`;
      return `This release may follow ${[low, high].filter(Boolean).join(', but only ')}.`;
    },
    fromList: (versions: readonly string[]) =>
      `This release may follow ${list(versions, 'or')}, and nothing else.`,
    versionSame:
      'If it is already the version at the head of page 1: do not install. Write "already-current".',
    versionOther: 'If it is any other version: do not install. Write "deferred" and ask the service lead.',
    versionUnreadable:
      'If it cannot be read: do not begin before the service lead says so; write what you saw.',
    settings: 'NOTE THESE SETTINGS before you begin; the new firmware resets them.',
    settingBefore: 'before',
    settingRestored: 'restored',
    restore: 'RESTORE THE SETTINGS that you noted, each one.',
    restoreSee: (number: number) => `They stand at step${glue}${number}.`,
    service: 'BACK IN SERVICE? See again, now that everything is done:',
    serviceOtherwise:
      'If one of them is not so, it is not "updated": stop, and ring the helpline or the service lead.',
    condition: 'HOW IS THE UNIT LEFT? Write it into the results: running, off, locked-off or no-life.',
    conditionPositions: 'Write here how each thing stands:',
    told: 'TELL THE CUSTOMER what was done, how the unit is left and what must not be switched on. Write the name of who was told.',
    tell: 'Then let the record know: outcome, version read, how left, by whom and when, row by row.',

    wait: (time: string) => `WAIT ${time}.`,
    waitPlate: (time: string) => `WAIT the longer of ${time} and the discharge time marked on the plate.`,
    plateTime: `plate${glue}says${glue}________ ${glue} begun${glue}____:____ ${glue} over${glue}at${glue}____:____`,
    waitTime: `begun${glue}____:____ ${glue} over${glue}at${glue}____:____`,
    hold: (what: string, min: number, max: number) =>
      `HOLD ${what} for ${min === max ? duration(min) : `${duration(min)} to ${duration(max)}`}, counting aloud.`,
    measure: (what: string) => `MEASURE ${what}.`,
    limits: (from: number, to: number, unit: string) =>
      `Every reading must lie from ${from} to ${to} ${unit}, sign included.`,
    meterBefore: 'meter shown good on a known source before',
    meterAfter: 'meter shown good on a known source after',
    meterBad:
      'If the meter does not show good both times, its readings count for nothing: take another meter and measure again.',
    reading: 'reading',
    allWithin: 'All within:',
    anyOutside: 'Any outside:',
    watch: (within: string) =>
      `WATCH THE LIGHTS. At most ${within} each time a step leads here; looking again never starts it anew.`,
    watchHands: 'Meanwhile do not cut the power and do not pull the card.',
    watchTime: `begun${glue}____:____ ${glue} time${glue}is${glue}up${glue}at${glue}____:____`,
    youSee: 'You see',
    itMeans: 'It means',
    doThis: 'Do this',
    timeUp: 'The time is up, and you are still watching',
    timeUpMeans: 'Too late',
    otherLights: 'Lights that are not on this list',
    otherLightsMeans: 'Not known',
    mayWrite: 'may be writing',
    readVersion: (where: string | null) =>
      `READ THE VERSION${where === null ? '' : ` (${where})`} and write it into the results, letter for letter, before you compare.`,
    readSame: 'The version at the head of page 1:',
    readOther: 'Any other version:',
    readUnreadable: 'Cannot be read:',
    confirm: 'BACK IN SERVICE? See each of these and tick it:',
    confirmNoList: "See that the unit is back in service as the maker's manual says.",
    confirmAll: 'All so:',
    confirmOtherwise: 'One is not so:',
    tries: (tries: number, otherwise: number) =>
      `At most ${tries === 1 ? 'once' : `${tries} times`} for one unit. If that is used up do not do it: GO TO STEP${glue}${otherwise}.`,
    tickTries: 'tick each time:',
    end: {
      updated: 'END: UPDATED.',
      failed: 'END: FAILED.',
      deferred: 'END: DEFERRED.',
    },
    endStands: 'Everything must now stand so:',
    endLeft: 'left so',
    endWrite: {
      updated: 'Write "updated" into the results.',
      failed: 'Write "failed" into the results.',
      deferred: 'Write "deferred" into the results.',
    },
  },

  lights: {
    intro:
      '# is lit, . is dark; each strip runs over the time beside it. Count flashes for ten seconds, do not guess.',
    introDrawn:
      'A block is lit, a bare line is dark; each strip runs over the time beside it. Count flashes for ten seconds, do not guess.',
    drawnAt: (numbers: readonly number[]) =>
      `What they show at step ${list(numbers.map(String))} is drawn there.`,
    on: 'on',
    off: 'off',
    allOff: 'all lights off',
    othersOff: 'all others off',
    colourOn: (colour: string) => `on, ${colour}`,
    light: (label: string, colours: readonly string[]) => `${label} (${list(colours, 'or')})`,
    flashes: (colour: string | null, perMinute: number) => {
      const what = `flashes ${colour === null ? '' : `${colour}, `}${perMinute} a minute`;
      const count = perMinute / 6;
      if (perMinute > 240) return `${what}: so fast that it looks like on`;
      if (count < 1) return `${what}: one every ${duration(60 / perMinute)}`;
      return `${what}: about ${Math.round(count)} in ten seconds`;
    },
    bursts: (colour: string | null, burst: number, pause: number) =>
      `${plural(burst, 'flash', 'flashes')}${colour === null ? '' : ` ${colour}`}, then dark for ${duration(pause)}, again and again`,
    sweep: (labels: readonly string[], step: number) =>
      `${labels.join(', ')} light up one after another, ${duration(step)} each, again and again`,
    inTurn: (place: number, of: number) => `in turn, ${place} of ${of}`,
    display: (text: string) => `display shows "${text}"`,
    overTime: inTime,
    busy: 'The unit may be writing: do not cut the power, do not pull the card.',
  },

  failure: {
    people: 'People first. Smoke, smell, hissing, swelling or heat: leave, call the emergency service.',
    stop: 'Stop where you are. This sheet gives no order of steps but the one printed; do not make one up.',
    writing:
      'The unit may be writing while it shows any of these. Leave power and card as they are, and ring before you do anything:',
    writingUnknown:
      'If you cannot tell whether it is writing, leave power and card as they are, and ring before you do anything.',
    note: 'Note for the call: sheet number, step number, the lights, the time, and how each thing stands.',
    helpline: 'Helpline',
    hours: (hours: string) => `(${hours})`,
    noHelpline: 'The manifest names no helpline. Ring the service lead:',
    helplineClosed:
      'Helpline closed or no signal: leave it as it stands, keep people away, ring the service lead.',
    outcome: 'A failure is a result too: write "failed", how the unit is left, the lights and what you saw.',
  },

  results: {
    intro: 'Write what you see, not what you expect. One row a unit.',
    serial: 'Serial',
    plate: `From the plate: ${glue} last${glue}four${glue}____________ ${glue} revision${glue}________`,
    versionBefore: 'Version before',
    versionRead: 'Version read',
    outcome: 'Outcome',
    outcomes: ['updated', 'failed', 'deferred', 'already-current'],
    lights: 'Lights at the end',
    left: 'Left',
    leftChoices: ['running', 'off', 'locked-off', 'no-life'],
    reason: 'If deferred',
    reasons: ['no-access', 'refused', 'no-time', 'unsafe', 'wrong-hardware', 'no-card', 'other'],
    cause: 'If failed',
    causes: ['release', 'card', 'unit', 'site', 'safety'],
    card: 'Card',
    caseNumber: 'Case number',
    told: 'Customer told',
    by: 'By',
    time: 'Day and time',
    note: 'Note',
  },

  /** For those who hear a page instead of seeing it. */
  spoken: {
    box: 'box to tick',
    blank: 'to be written in',
    code: (number: string) => `QR code with the number ${number} and the release of this sheet`,
    steps: 'Step',
  },

  slip: {
    title: 'FOR THE CUSTOMER',
    head: (number: string) => `Slip to sheet ${number}`,
    foot: (number: string, page: number, pages: number) =>
      `Slip to sheet ${number}   page ${page} of ${pages}`,
    intro:
      'Keep this where everyone sees it who could switch something on. What is ticked and written here by hand counts.',
    day: 'Day and time',
    site: 'Site',
    equipment: 'Equipment',
    unit: (row: number) => `Unit ${row}`,
    serial: 'Serial',
    work: 'New firmware',
    works: ['is in', 'did not go in', 'was not begun', 'was in already'],
    left: 'It is left',
    lefts: ['running', 'off', 'off and locked', 'without life'],
    stands: 'How each thing stands, and must stay:',
    doNot: 'DO NOT SWITCH ON, OPEN OR UNPLUG:',
    until: 'until this person says so:',
    rules: 'PLEASE',
    asLeft:
      'Leave everything as it is ticked here, until the person named here says otherwise. Take off no lock and no tag: only who put it on does.',
    card: 'Do not push in or pull out a memory card.',
    writing:
      'The unit may still be writing. Leave its power and its card as they are; do not switch anything off or on.',
    inside:
      "Open no cover. Some parts inside stay live, whatever is switched off. Work inside is for licensed persons, by local codes and the maker's manual, which win over this slip.",
    hazards: {
      'automatic-restart': 'It may start by itself at any moment. Keep people and hands clear.',
      'backup-output-live': 'The backup output may be live, or come on at any moment, with the mains off.',
      'vehicle-connected': 'Connect no vehicle unless the unit is left running.',
      backfeed: 'With the mains off, voltage may still come from another source.',
    } as Partial<Readonly<Record<Hazard, string>>>,
    never: 'Never at the same time:',
    leave:
      'Smoke, smell, hissing, swelling or heat: leave, keep others away, ring the emergency service. Ring it first.',
    ring: 'WHOM TO RING',
    ringWhen:
      'Ring before you switch anything on or off, and whenever something is not as it is written here.',
    emergency: 'Emergency service',
    service: 'Service firm, at any hour',
    lead: 'Service lead',
    helpline: "Maker's helpline",
    caseNumber: 'Case number',
    told: 'Told to (name)',
    by: 'By (name)',
  },

  /** The walk at a terminal, one question after another. Nobody is told what a version or a plate ought to say. */
  walk: {
    title: (serial: string, product: string) => `VISIT TO ${serial}, ${product}`,
    carries: (id: string) => `Firmware carried there: ${id}`,
    source: (text: string) => `The maker's procedure, from: ${text}`,
    leave: 'Every answer is kept at once. Ctrl-C breaks the visit off at any time; it can be resumed.',
    resumed: (when: string) =>
      `This visit was begun ${when} and broke off. It goes on after these have been seen anew.`,
    before: 'BEFORE',
    after: 'AFTERWARDS',
    anew: 'ANEW, BEFORE IT GOES ON',
    stopped: 'STOPPED',
    caution: (number: number, count: number) => `CAUTION ${number} of ${count}`,
    triesLeft: (count: number) =>
      count === 1 ? 'This is the only time that is left.' : `${count} times are left, this one included.`,
    thenStands: 'Once done:',

    card: 'WHICH CARD IS IN YOUR HAND? It must be the one that was prepared for this release. Where it can be read here, read it now.',
    cardName: 'Name of the card, as written on it',
    cardPath: 'Its drive, folder or card image file',
    cardRead: 'Reading the card …',
    cardReady: 'ready: every byte of the firmware file was read from it and agrees',
    cardOther: 'another card',
    cardWhy: {
      used: 'It has been in a unit since it was prepared, and these units change a card.',
      'not-ready': 'By the record it was prepared for something else, or was not ready.',
      'not-known': 'The record does not know it as prepared.',
    },
    cardOf: (name: string, when: string) => `${name}, prepared ${when}`,
    plate: 'IS THIS THE UNIT? Go to its plate. Type what the plate says, not what a list says.',
    lastFour: "Last four characters of the plate's serial",
    revision: 'Hardware revision on the plate',
    versionBefore: 'WHICH VERSION DOES THE UNIT SHOW NOW? Type it letter for letter.',
    version: 'Version, as the display shows it',
    lead: 'THE VERSION CANNOT BE READ. Ring the service lead. Nothing begins before the lead says so.',
    leadName: 'Who says so?',
    settings: 'NOTE THESE SETTINGS. The new firmware resets them; afterwards you put them back.',
    starts: 'DOES EVERYTHING STAND SO? The procedure begins from this and from nothing else.',
    plateTime: (time: string) =>
      `Does the unit's plate mark a discharge time? The longer of it and ${time} counts. The time runs already.`,
    plateMinutes: 'Minutes on the plate',
    waiting: (left: string) => `${left} left to wait`,
    waited: 'The time is over.',
    holdNow: 'Press b and hold the button at the same moment.',
    holding: (seconds: number, from: string, to: string) => `${seconds} s   (let go from ${from} to ${to})`,
    meterBefore: 'Show on a known source that the meter is good. Is it?',
    meterAfter: 'Show on a known source once more that the meter is still good. Is it?',
    reading: (number: number, count: number, between: string) =>
      count === 1 ? between : `Reading ${number} of ${count}: ${between}`,
    review: 'These readings count. Are they what the meter showed?',
    outside: 'outside',
    watchLeft: (left: string) => `${left} left`,
    read: (where: string | null) =>
      `READ THE VERSION FROM THE UNIT${where === null ? '' : ` (${where})`}. Type it letter for letter.`,
    readAgain: 'Look at the display once more and type it again, whatever it says.',
    sign: (number: number, count: number) => `BACK IN SERVICE? ${number} of ${count}. See for yourself:`,
    restore: (number: number, count: number) => `RESTORE THE SETTING, ${number} of ${count}:`,
    restoreTo: (before: string) => `You noted: ${before}`,
    position: (name: string) => `HOW DOES THIS STAND NOW? Go and see: ${name}`,
    left: 'HOW IS THE UNIT LEFT?',
    cause: 'WHAT DID IT FAIL ON?',
    reason: 'WHY IS IT DEFERRED?',
    case: 'DID THE HELPLINE GIVE A CASE NUMBER?',
    caseNumber: 'Case number',
    told: 'TELL THE CUSTOMER what was done, how the unit is left and what must not be switched on.',
    toldName: 'Name of who was told',
    lapsed: (numbers: readonly string[]) =>
      `What was measured at ${list(numbers)} holds no longer: it has been switched on again since. Treat it as live.`,
    another: 'THIS IS ANOTHER QUESTION THAN THE ONE YOU ANSWERED; IT STANDS ANEW.',

    keys: {
      read: 'read and understood',
      stop: 'stop: how everything stands, and what now',
      type: 'type it',
      readCard: 'it is in a reader here: read it',
      cannotReadCard: 'it cannot be read here',
      noVersion: 'it cannot be read',
      leadGo: 'the lead says: go on',
      leadNot: 'the lead says: do not begin',
      yesAll: 'yes, all of it',
      otherwise: 'no, something stands otherwise',
      done: 'done',
      cannot: 'it cannot be done',
      noPlate: 'the plate marks none',
      goOn: 'go on',
      begin: 'begin, and hold',
      held: 'done: held and let go in time',
      holdAgain: 'it went wrong before anything happened: hold again',
      good: 'yes, it is good',
      bad: 'no, or not sure',
      take: 'yes, they count',
      again: 'no, measure again',
      unlisted: 'other lights than these',
      yes: 'yes',
      no: 'no, or not sure',
      restored: 'restored',
      notRestored: 'cannot be restored',
      noCase: 'no case number',
      nobody: 'there was nobody to tell',
      backToWalk: 'go on where it was stopped',
      lookAgain: 'look again, and answer anew',
      breakOff: 'break off here; the visit stays open and can be resumed',
      endFailed: 'end the visit here: failed',
      endDeferred: 'end the visit here: deferred',
    },

    choices: {
      running: 'running',
      off: 'off',
      'locked-off': 'off and locked',
      'no-life': 'without life',
      release: 'the release: the new firmware itself',
      card: 'the card',
      unit: 'the unit',
      site: 'the site',
      safety: 'safety: it was not safe to go on',
      'no-access': 'no access',
      refused: 'the customer refused',
      'no-time': 'no time',
      unsafe: 'unsafe',
      'wrong-hardware': 'wrong hardware',
      'no-card': 'no card',
      other: 'something else',
    },

    complaints: {
      backwards: () => 'This time lies before the answer before it.',
      'card-not-ready': (seen: string) =>
        `This card is not known to be ready for this release. ${seen} Take another one, or stop.`,
      'last-four-form': () => 'Four characters, the last of the serial on the plate.',
      'last-four-differs': (seen: string) =>
        `A unit whose serial ends in ${seen} is NOT the unit of this visit. Touch nothing. Find the right one, or look again.`,
      'revision-unknown': (seen: string, expected: string) =>
        `There is no revision ${seen} of this product. There are: ${expected}.`,
      'revision-again': (seen: string) =>
        `Revision ${seen} is not what is registered, or may not have this release. Look at the plate once more; if it says so again, the visit ends here.`,
      'version-form': (seen: string) =>
        `${seen} is no version of this product. Type it as the display shows it.`,
      'version-before-again': (seen: string) =>
        `The release carried here does not lead on from ${seen}. Look once more; if the display says so again, the visit ends here.`,
      'version-again': () => 'This is not the version that was carried here. Look once more.',
      'text-form': () => 'Something has to be written here, on one line and not too long.',
      'plate-time-form': () => 'Minutes, such as 10 or 7,5.',
      'too-early': (_seen: string, _expected: string, time: string) => `Not before ${time}. Wait.`,
      'time-is-up': (_seen: string, _expected: string, time: string) =>
        `The time was up at ${time}: what the lights show now comes too late.`,
      'not-yet-late': (_seen: string, _expected: string, time: string) =>
        `The time is not up before ${time}.`,
      'pattern-unlisted': (seen: string) => `${seen} is not on this step's list.`,
      'reading-form': () => 'A number with its sign, such as 0.4 or -1,2. Without the unit.',
      'reading-ambiguous': (seen: string) =>
        `${seen} could be one and a bit or more than a thousand. Type it with other digits: 1.23, or 1234.`,
      'meter-bad': () => 'Then no reading counts. Take another meter, and measure all of it again.',
      'readings-again': () => 'Then measure all of it again.',
      'state-unknown': (seen: string, expected: string) =>
        `There is no ${seen} here; there are: ${expected}.`,
      'cannot-go-on': () => 'There is no going on from here.',
      'outcome-not-open': (seen: string, expected: string) =>
        `It cannot be ${seen} any more, only: ${expected}.`,
    },

    stop: {
      why: {
        asked: 'You stopped.',
        cannot: 'A step cannot be done.',
        'starts-otherwise': 'Something stands otherwise than the procedure begins from. Do not begin.',
        'other-unit': 'The plate is not that of the unit this visit was begun at.',
        'positions-differ':
          'Things stand otherwise than this visit left them. What happened since is not known.',
        'not-dead': 'The measurement that showed it dead does not show it now. TREAT IT AS LIVE.',
        'manifest-changed':
          'The procedure in the manifest has changed since this visit began, so it cannot go on.',
      },
      stands: 'How everything stands, as this visit knows it:',
      seen: 'How everything stands, as you have seen it:',
      orElse: (state: string, step: string) => `or ${state}, if ${step} has been begun`,
      untouched: 'This visit has switched, plugged and opened nothing. Leave everything as it is.',
      ended:
        'The procedure has come to its end. What is left is to say how the unit is left, and to whom it was told.',
      order:
        "The maker's procedure goes on from here to an end like this. Do it step by step in the walk, not from memory:",
      noOrder:
        'From here the maker gives no order but to go on with the procedure. Do not make one up. Leave everything as it stands.',
      ask: 'Ask the helpline, or a licensed person of the firm:',
      askWriting:
        'May it still be writing? How long must power and card stay as they are, and what ends that?',
      askPosition: (name: string, state: string, ends: string) =>
        `${name}, now ${state}: may it stay so? If not, who may bring it back to ${ends}, and in which order with the rest?`,
      askStays: 'May it stay exactly as it stands, and for how long?',
      whenDone: 'then',
      ways: {
        passes: 'all so:',
        'does-not-pass': 'if not:',
        'release-version': 'the version carried here:',
        'other-version': 'any other version:',
        unreadable: 'cannot be read:',
        'no-tries-left': 'once its tries are used up:',
        late: 'the time is up:',
        unlisted: 'other lights:',
        lights: 'these lights:',
        done: 'done:',
      },
      measured: 'all readings within:',
      notMeasured: 'any reading outside:',
      endsAs: (outcome: string, left: string) => `END: ${outcome}. Everything then stands: ${left}.`,
      resume: 'The visit stays open. Resume it with:',
    },

    over: {
      updated: 'Updated.',
      failed: 'Failed.',
      deferred: 'Deferred.',
      'already-current': 'It has this version already; nothing was installed.',
      notRestored: (settings: readonly string[]) => `Not restored: ${list(settings)}.`,
    },
  },

  /** The pocket page: the sheet on a phone, and the outcome it gives. */
  pocket: {
    /** In place of the words for paper: a phone has no page 1. */
    steps: {
      identify:
        'IS THIS THE UNIT? Read its plate: the last four characters of the serial and the hardware revision. Go by the plate, not by this page.',
      identifyMatch: (revisions: readonly string[]) =>
        `They must be those of the unit, and the revision one of: ${revisions.join(', ')}.`,
      versionBefore: 'NOTE THE VERSION BEFORE, as the unit shows it, letter for letter.',
      versionSame: 'If it is already the version of this sheet: do not install. Write "already-current".',
      readSame: 'The version of this sheet:',
      readVersion: (where: string | null) =>
        `READ THE VERSION${where === null ? '' : ` (${where})`} and type it, letter for letter, before you compare.`,
      condition: 'HOW IS THE UNIT LEFT? Running, off, locked-off or no-life.',
    },
    noScript:
      'Nothing is timed here and no result can be made, since this page runs no scripts where you opened it. Open the file in the browser of the phone. All there is to read stands below.',
    offline: 'This page needs no network, and sends nothing by itself.',
    controls: 'Screen and sound',
    dark: 'Dark',
    sun: 'Bright sun',
    size: (percent: number) => `Text ${percent}${glue}%`,
    sound: (on: boolean): string => (on ? 'Sound on' : 'Sound off'),
    running: 'Time that runs',
    placesName: 'Parts of this page',
    places: { walk: 'Walk', list: 'All steps', lights: 'Lights', trouble: 'Trouble', result: 'Result' },
    unit: (row: number, serial: string) => `Row ${row}: ${serial}`,
    timeNow: (step: string, left: string) => `${step}: ${left} left`,
    timeOver: (step: string) => `${step}: the time is over`,
    noStore:
      'This phone does not let the page keep anything: if it is closed or loaded again, everything typed is lost. Keep it open.',
    keepOpen:
      'Keep this page open and the screen on: with the screen off a timer may not sound, though it goes on counting.',

    cautions: {
      read: (count: number, of: number) => `${count} of ${of} read`,
      tickEach: 'Tick each one when it has been read aloud.',
      acknowledge: 'All read and understood',
      missing: (count: number) =>
        count === 1 ? 'One caution is not ticked yet.' : `${count} cautions are not ticked yet.`,
      emergency: 'Emergency service, number here',
      secondPerson: 'Second person, name and number',
      emergencyIs: 'Emergency service:',
      secondPersonIs: (who: string) => `Second person: ${who}`,
    },

    begin: {
      title: 'WHICH UNIT?',
      order:
        'One unit after another, in the order of the rows. Finish one, its result made, before you begin the next.',
      serial: 'Serial of the unit, from its plate',
      serialForm: 'A serial of 4 to 40 letters and digits.',
      serialCheck:
        'The check characters of this serial do not agree: a character is wrong. Read the plate again.',
      take: 'Take this unit',
      ready: 'BEFORE YOU BEGIN',
      overBy: (longest: string) =>
        `Begun now, it is over by ${longest} at the latest, by the longest way through the procedure.`,
      ifWell: (shortest: string) => `If all goes well, by about ${shortest}.`,
      siteFirst: 'The first unit here today: what is done once for the site before it is part of this walk.',
      siteOpened: (serial: string) => `What is done once for the site was done with ${serial}.`,
      siteLast: 'The last unit here today: what is done once for the site afterwards is part of this walk.',
      siteMore: 'Another unit follows here today: what is done once afterwards comes with that one.',
      toMore: 'No: another one follows',
      toLast: 'No: this is the last one',
      begin: 'Begin the walk',
      other: 'Another unit',
      done: (outcome: string) => `result made: ${outcome}`,
      under: 'walk under way',
    },

    card: 'WHICH CARD IS IN YOUR HAND? It must be the one that was prepared for this release, and that the laptop has shown ready. A phone cannot read it.',
    cardReady: 'Shown ready, and not used since',
    cardNot: 'Not so, or not sure',
    cardWhy: 'Nobody says that the laptop has shown it ready.',
    typed: 'Take what I typed',
    minus: 'Plus or minus',
    confirmChoice: 'This is what I see',
    choose: 'Choose one first.',
    takeBack: 'Take back the last answer',
    sure: (what: string) => `Really: ${what}`,
    next: 'Next unit',
    here: 'YOU ARE HERE',
    doneAt: (time: string) => `done ${time}`,
    seenWhat: 'What do you see?',
    means: 'It means:',
    stop: 'STOP: something is wrong',
    ring: (phone: string) => `Ring ${phone}`,
    seenLast: (what: string, time: string) => `Seen at ${time}: ${what} Keep watching.`,
    over: 'The time is over.',
    overGo: 'The time is up: go on',
    notOver: 'Not yet: wait',
    waitGo: 'The time is over: go on',

    hold: {
      start: 'Count with me',
      again: 'Count again',
      ready: 'Put your finger on the button. Press at zero.',
      press: 'PRESS AND HOLD',
      letGo: 'LET GO NOW',
      tooLong: 'TOO LONG: let go',
      seconds: (seconds: number) => `${seconds}${glue}s`,
    },
    count: {
      start: 'Count flashes for ten seconds',
      now: 'Count now, aloud',
      over: 'Stop. How many were there?',
    },

    lights: {
      play: 'Play',
      stop: 'Stop playing',
      slowed: (times: number) =>
        `Played ${times.toFixed(1)} times slower than on the unit: nothing on this page flashes more than three times a second. Go by the count.`,
      still: 'This phone asks for little movement, so the lights stand still. The strips show the same.',
    },

    reload: {
      title: 'THIS PAGE WAS CLOSED OR LOADED AGAIN',
      text: (from: string, to: string) =>
        `It last counted at ${from}; now it is ${to}. Timers went on counting.`,
      stayed: 'I was at the unit all the time, and nobody touched anything',
      anew: 'Not so, or not sure: confirm everything anew',
      mustAnew: 'That is too long ago: unit, positions and dead test are confirmed anew before it goes on.',
      damaged: 'What this phone kept of the walk cannot be read. Begin the walk again from its first step.',
    },
    brokenOff: 'The walk is broken off. Before it goes on, unit, positions and dead test are confirmed anew.',
    resume: 'Go on with this walk',

    result: {
      title: 'RESULT',
      intro: 'Write what you see, not what you expect.',
      unitFirst: 'Choose the unit first, under "Walk".',
      ended: 'The walk is over. Look through the result and make it.',
      toResult: 'To the result',
      none: 'not said',
      confirmed: 'I looked again: the display really shows exactly this',
      make: 'Make the result',
      made: (time: string) => `Made at ${time}`,
      anew: 'Change it, and make it anew',
      file: 'Save as a file',
      share: 'Send the file',
      copy: 'Copy the text of the QR code',
      copied: 'Copied.',
      notCopied: 'It could not be copied. Save the file instead.',
      code: 'CODE FOR THE TELEPHONE',
      codeHow: 'Say the sheet number, then this code, letter by letter. Who and when is asked for then.',
      codeNone: 'There is no short code for this serial or version. Give the file or the QR code instead.',
      spelled: 'To say:',
      qr: 'QR CODE',
      qrHow: 'For the laptop or another phone to read.',
      qrNone: 'The note is too long for a QR code on this screen. Give the file, or shorten the note.',
      qrAlt: 'QR code with this result',
      whatItSays: 'It says what stands above, who and when. It is not proof by itself.',
      forget: 'Forget everything on this phone',
      forgetWhat: 'forget walks, results and everything typed here',
      faults: 'This is not complete yet:',
      fault: {
        'outcome-missing': 'What became of it?',
        'by-missing': 'Who did the work?',
        'time-form': 'Day and time.',
        'version-form': 'This is no version of this product. What is no version goes into the note.',
        'version-missing': 'Only a version read from the unit shows that it is current already.',
        'display-not-confirmed':
          'This is not the version that was carried here. Look again: tick that it really shows this, or correct it.',
        'left-missing': 'How is the unit left?',
        'reason-missing': 'Why is it deferred?',
        'too-long': 'Too long. Shorten it.',
      },
    },
    spelling: internationalSpelling,
  },
};
