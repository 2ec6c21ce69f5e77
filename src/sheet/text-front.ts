// The front of the sheet as text: its number, the cautions first of all, then where the procedure comes from and
// as of when, the time, what to bring, the units, and how things stand.

import { formatMark } from '../record/mark-text.ts';
import { cautionLines } from './cautions.ts';
import { columnWidth, fold, foldAfter, padColumns } from './fold.ts';
import type { Block } from './pages.ts';
import type { Placed } from './sheet-step.ts';
import type { UnitRow } from './sheet-view.ts';
import { blankAfter, fieldLines, heading, paragraphLines, type TextForm, tableLines } from './text-form.ts';

/** Left and right on one line, or one below the other. */
function sides(form: TextForm, left: string, right: string): string[] {
  const gap = form.width - columnWidth(left) - columnWidth(right);
  if (gap >= 2) return [left + ' '.repeat(gap) + right];
  return [...fold(left, form.width), ...fold(right, form.width)];
}

export function headBlock({ view, words, width }: TextForm): Block {
  const form = { view, words, width };
  const { head } = words;
  return {
    lines: [
      ...sides(form, `${head.sheet}  ${view.number}`, head.made(view.made.day, view.made.time)),
      ...sides(
        form,
        `${view.product.name}, ${head.maker(view.product.maker)}`,
        view.made.by === null ? '' : head.by(view.made.by),
      ),
      ...fold(`${head.work(view.release.version)} (${view.release.id})`, width),
      ...fold(view.byHand ? head.oneUnit : head.units(view.units.length), width),
    ],
  };
}

export function cautionBlocks(form: TextForm): Block[] {
  const { view, words } = form;
  const numbered = cautionLines(view.cautions, words).map(({ title, text }, index) => ({
    lines: foldAfter(
      `  ${String(index + 1).padStart(2)}. `,
      `${title.toUpperCase()} ${text}`.trim(),
      form.width,
    ),
  }));
  const always = view.cautions.always.length;
  const named = always + view.cautions.hazards.length;
  const saying = (text: string): Block => ({ lines: ['', ...paragraphLines(form, text)], withNext: true });
  return [
    heading(form, words.sections.cautions),
    {
      lines: [
        ...paragraphLines(form, words.cautions.readAloud),
        ...blankAfter(form, words.cautions.emergency, { indent: 2, labelColumns: 32 }),
        ...blankAfter(form, words.cautions.secondPerson, { indent: 2, labelColumns: 32 }),
        '',
      ],
      withNext: true,
    },
    ...numbered.slice(0, always),
    ...(named > always ? [saying(words.cautions.here)] : []),
    ...numbered.slice(always, named),
    ...(numbered.length > named ? [saying(words.cautions.maker)] : []),
    ...numbered.slice(named),
  ];
}

export function sourceBlocks(form: TextForm): Block[] {
  const { view, words } = form;
  const { source } = words;
  const said = view.source;
  const document = [
    said.document ?? source.notNamed,
    said.issue === null ? '' : source.issue(said.issue),
    said.page === null ? '' : source.page(said.page),
  ];
  const release = [
    view.release.id,
    source.issued(view.release.issued),
    source.priority[view.release.priority],
    view.release.due === null ? '' : source.due(view.release.due),
  ];
  const news =
    view.news.day === null ? source.newsUnknown : source.newsAsOf(view.news.day, view.news.daysOld);
  const { mark } = view;
  return [
    heading(form, words.sections.source),
    {
      lines: [
        ...fieldLines(form, source.document, document.filter(Boolean).join(', ')),
        ...fieldLines(form, source.manifest, source.revision(view.product.id, view.product.revision)),
        ...fieldLines(form, source.writtenBy, said.writtenBy ?? source.notNamed),
        ...fieldLines(form, source.checkedBy, said.checkedBy ?? source.notNamed),
        ...said.warnings.flatMap((warning) =>
          fieldLines(form, `! ${source.warning}`, source.warnings[warning]),
        ),
        ...fieldLines(form, source.gaps, view.gapsChecked ? source.gapsChecked : source.gapsNotChecked),
      ],
    },
    {
      lines: [
        ...fieldLines(form, source.release, release.filter(Boolean).join(', ')),
        ...(view.release.notes === null ? [] : fieldLines(form, source.notes, view.release.notes)),
        ...fieldLines(form, source.withdrawn, `${source.notWithdrawn(view.release.id)} ${news}`),
        ...(view.news.old ? fieldLines(form, `! ${source.warning}`, source.newsOld) : []),
        ...fieldLines(form, source.record, mark === null ? source.noRecord : source.mark(formatMark(mark))),
      ],
    },
  ];
}

export function timeBlocks(form: TextForm): Block[] {
  const { view, words } = form;
  const { time: says, duration } = words;
  const { time } = view;
  const count = view.units.length;
  const lines: string[] = [];
  if (time.longestSeconds === null) lines.push(says.unknown);
  else {
    lines.push(says.longest(duration(time.longestSeconds)));
    if (time.shortestSeconds !== null) {
      lines.push(says.shortest(duration(Math.ceil(time.shortestSeconds / 60) * 60)));
    }
  }
  if (time.assumed.length > 0) {
    lines.push(`${says.assumedIntro} ${time.assumed.map((kind) => says.assumed[kind]).join('; ')}.`);
  }
  if (time.plateSteps.length > 0) lines.push(says.plate(time.plateSteps));
  const latest: string[] = [];
  if (time.longestSeconds !== null && time.dayEnds !== null) {
    if (time.latestAny === null) latest.push(says.doesNotFit(time.dayEnds));
    else {
      if (count > 1) {
        latest.push(
          time.latestFirst === null
            ? says.notAllFit(count, time.dayEnds, time.fit)
            : says.latestFirst(time.latestFirst, count),
        );
      }
      latest.push(says.latestAny(time.latestAny, time.dayEnds));
    }
    latest.push(says.counted(count));
  } else if (time.longestSeconds !== null) {
    latest.push(says.byHand(duration(time.longestSeconds + time.reserveMinutes * 60)), says.byHandNote);
  }
  return [
    heading(form, words.sections.time),
    { lines: [...lines, ...latest, says.late].flatMap((text) => paragraphLines(form, text)) },
  ];
}

export function bringBlocks(form: TextForm): Block[] {
  const { view, words } = form;
  const { bring } = words;
  const { helpline } = view;
  const called =
    helpline === null
      ? ''
      : [helpline.phone, ...(helpline.hours === null ? [] : [`(${helpline.hours})`])].join(' ');
  const items = [
    view.bring.cardEach ? bring.cardEach(view.bring.cards, view.release.id) : bring.oneCard(view.release.id),
    bring.sheet,
    view.source.document === null ? bring.makersManual : bring.manual(view.source.document),
    bring.meter,
    bring.locks,
    helpline === null ? bring.phoneOnly : bring.phone(called),
    ...view.bring.items,
  ];
  return [
    heading(form, words.sections.bring),
    { lines: items.flatMap((item) => foldAfter('  [ ] ', item, form.width)) },
  ];
}

function detailLabel(form: TextForm, name: string): string {
  const { details } = form.words.units;
  return Object.hasOwn(details, name) ? details[name as keyof typeof details] : name;
}

function lastKnown(form: TextForm, unit: UnitRow): string[] {
  const { units } = form.words;
  const { version, left } = unit;
  const known =
    version === null
      ? units.notKnown
      : version.evidence === 'read'
        ? units.read(version.version, version.day)
        : units.reported(version.version, version.day);
  return [
    known,
    ...(unit.failedOn === null ? [] : [units.failed(unit.failedOn)]),
    ...(left === null || left === 'running' ? [] : [units.left[left]]),
  ];
}

export function unitsBlocks(form: TextForm): Block[] {
  const { view, words, width } = form;
  if (view.byHand) return [];
  const { units } = words;
  const fixed = { row: 3, revision: 4 };
  const room = width - 2 - 16 - fixed.row - fixed.revision;
  const serial = Math.min(
    Math.floor(room * 0.4),
    Math.max(8, ...view.units.map((u) => columnWidth(u.serial ?? ''))),
  );
  const site = Math.floor((room - serial) / 2);
  const columns = [
    { title: units.row, width: fixed.row },
    { title: units.serial, width: serial },
    { title: units.revision, width: fixed.revision },
    { title: units.site, width: site },
    { title: units.last, width: room - serial - site },
  ];
  const rows = view.units.map((unit) => [
    [String(unit.row)],
    [unit.serial ?? ''],
    [unit.hardware ?? '?'],
    [unit.site ?? units.notKnown],
    lastKnown(form, unit),
  ]);
  const details = view.units.flatMap((unit) => {
    const notes = Object.entries(unit.details).map(([name, text]) => `${detailLabel(form, name)}: ${text}.`);
    if (unit.hardware === null) notes.push(`${units.revisionNotKnown}.`);
    if (notes.length === 0) return [];
    return foldAfter(`  ${padColumns(`${units.row} ${unit.row}`, 6)}  `, notes.join(' '), width);
  });
  return [
    heading(form, words.sections.units),
    { lines: tableLines(2, columns, rows), continued: `  ${words.sections.units}, ${words.head.continued}` },
    ...(details.length > 0 ? [{ lines: details }] : []),
    ...(view.units.length > 1 ? [{ lines: paragraphLines(form, units.order) }] : []),
  ];
}

function placedSentence(form: TextForm, placed: readonly Placed[]): string {
  const { words } = form;
  return words.placedTogether(placed.map(({ position, state }) => words.placed(position, state)));
}

export function rulesBlocks(form: TextForm): Block[] {
  const { view, words } = form;
  const { rules } = words;
  const lines: string[] = [];
  if (view.starts.length > 0) {
    lines.push(...paragraphLines(form, rules.starts));
    lines.push(
      ...view.starts.flatMap(({ position, state }) =>
        foldAfter('    [ ] ', words.placed(position, state), form.width),
      ),
    );
  }
  if (view.never.length > 0) {
    lines.push(...paragraphLines(form, rules.never));
    for (const { when, why } of view.never) {
      lines.push(...foldAfter('     -  ', `${placedSentence(form, when)}. ${why}`, form.width));
    }
  }
  if (view.whileBusy.length > 0) {
    lines.push(...paragraphLines(form, `${rules.whileBusy} ${placedSentence(form, view.whileBusy)}.`));
  }
  if (lines.length === 0) return [];
  return [heading(form, words.sections.rules), { lines }];
}
