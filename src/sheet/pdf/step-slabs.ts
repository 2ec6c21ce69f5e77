// The numbered steps on paper: a box to tick and a large number at the left, what to do in the middle, and at the
// right what comes of it: how things then stand, times, and where to go. A step is one block and is never split.

import { stepColumns } from '../content/step-columns.ts';
import { type StepContent, type StepLine, stepContent, viewOfStep } from '../content/step-content.ts';
import type { SheetStep } from '../sheet-step.ts';
import { showsSlab } from './light-slabs.ts';
import type { PageBlock } from './page-flow.ts';
import {
  blankWord,
  cellWidth,
  emptyBox,
  headingBlock,
  type PdfForm,
  say,
  sizes,
  tableSlabs,
  tickWord,
  writingPt,
} from './pdf-form.ts';
import { beside, inset, nothing, rule, type Slab, stack } from './slab.ts';
import { tickBox, ticked, together, type Word, words } from './typeset.ts';

const gutterPt = 38;
const betweenPt = 10;
/** Of the room right of the number, for what to do. */
const leftPart = 0.62;
const between = 1;
/** Higher than this, what stands beside each other is set one below the other, so that it can be parted. */
const mostTopPt = 500;

type Line<K extends StepLine['kind']> = StepLine & { readonly kind: K };

const writingLeading = writingPt / sizes.plain;
const tickLeading = 1.35;

function rowBoxes(form: PdfForm, lead: string): Word[] {
  const boxes = form.view.units.map(({ row }) => apart(together([...words(String(row)), [tickBox]])));
  return lead === '' ? boxes : [...words(lead), ...boxes];
}

function rowHead(form: PdfForm, at: number): string {
  const unit = form.view.units[at];
  return unit === undefined ? '' : form.words.steps.rowMark(unit.row, unit.lastFour);
}

/** Words that flow in one paragraph, and how high its lines must be for what is written or ticked there. */
interface Flowing {
  readonly words: readonly Word[];
  readonly leading: number;
}

/** A little room after what is ticked or written, before the next of its kind. */
function apart(word: Word): Word {
  return [...word, { kind: 'text', text: '\u00a0\u00a0', face: 'plain' }];
}

function flowing(form: PdfForm, line: StepLine): Flowing | undefined {
  switch (line.kind) {
    case 'say':
      return { words: words(line.text), leading: 0 };
    case 'reading':
      return { words: [apart(blankWord(line.label, 6.5, line.end ?? ''))], leading: writingLeading };
    case 'setting':
      return { words: [apart(blankWord(line.label, 11))], leading: writingLeading };
    case 'stand':
      // One box for several rows would say nothing: there those of the step itself do.
      if (form.view.units.length > 1)
        return { words: [apart(together(words(`\u2013 ${line.text}`)))], leading: 0 };
      return { words: [apart(tickWord(line.text))], leading: tickLeading };
    case 'tick':
      return { words: [apart(tickWord(line.text))], leading: tickLeading };
    case 'tickRows': {
      if (form.view.units.length > 1) return undefined;
      // A sentence may part between two lines; its box never stands alone.
      const sentence = ticked(line.text);
      return { words: [...sentence.slice(0, -1), apart(sentence.at(-1) ?? [])], leading: tickLeading };
    }
    case 'choose': {
      const choices = line.choices.map((choice) => tickWord(choice));
      return { words: [apart(together([...words(`${line.label}:`), ...choices]))], leading: tickLeading };
    }
    default:
      return undefined;
  }
}

/** What can flow shares its lines with what stands before and after it; the rest has lines of its own. */
function lineSlabs(
  form: PdfForm,
  lines: readonly StepLine[],
  widthPt: number,
  lead: readonly Word[] = [],
): Slab[] {
  const slabs: Slab[] = [];
  let run: Word[] = [...lead];
  let leading = 0;
  const flush = () => {
    const high = leading > 0 ? { leading } : {};
    if (run.length > 0) slabs.push(form.type.set(run, { widthPt, sizePt: sizes.plain, ...high }));
    run = [];
    leading = 0;
  };
  for (const line of lines) {
    const flow = flowing(form, line);
    if (flow !== undefined) {
      run.push(...flow.words);
      leading = Math.max(leading, flow.leading);
      continue;
    }
    flush();
    slabs.push(...lineSlab(form, line, widthPt));
  }
  flush();
  return slabs;
}

function lineSlab(form: PdfForm, line: StepLine, widthPt: number): Slab[] {
  const plain = { widthPt, sizePt: sizes.plain };
  switch (line.kind) {
    case 'way':
      return [form.type.set([...words(line.when), ...words(line.go, 'bold')], plain)];
    case 'fill':
      return fillSlabs(form, words(line.text), widthPt);
    case 'tickRows':
      return [
        form.type.set([...words(line.text), ...rowBoxes(form, '')], { ...plain, leading: tickLeading }),
      ];
    case 'watch':
      return watchSlabs(form, line, widthPt);
    case 'eachRow': {
      if (form.view.units.length === 1) return lineSlabs(form, line.lines, widthPt);
      return form.view.units.flatMap((_, at) =>
        lineSlabs(form, line.lines, widthPt, words(`${rowHead(form, at)}:`, 'bold')),
      );
    }
    default:
      return [];
  }
}

/** Times written in by hand, once for each row. */
function fillSlabs(form: PdfForm, text: readonly Word[], widthPt: number): Slab[] {
  const setting = { widthPt, sizePt: sizes.plain, leading: writingLeading };
  if (form.view.units.length === 1) return [form.type.set(text, setting)];
  return form.view.units.map((_, at) =>
    form.type.set([...words(`${rowHead(form, at)}:`, 'bold'), ...text], setting),
  );
}

function watchSlabs(form: PdfForm, { titles, rows }: Line<'watch'>, widthPt: number): Slab[] {
  const widths = [0.57, 0.25, 0.18].map((part) => part * widthPt);
  const columns = titles.map((title, at) => ({ title, widthPt: widths[at] ?? 0 }));
  const [see, mean, go] = columns.map(cellWidth) as [number, number, number];
  return tableSlabs(
    form,
    columns,
    rows.map((row) => [
      typeof row.sees === 'string'
        ? say(form, row.sees, { face: 'bold', widthPt: see })
        : showsSlab(form, row.sees, see),
      stack(row.means.map((text) => say(form, text, { widthPt: mean }))),
      say(form, row.go, { face: 'bold', sizePt: sizes.step, widthPt: go }),
    ]),
  );
}

/** What must be known before comes first and runs on into what to do, which is bold. */
function leftSlabs(form: PdfForm, says: StepContent, lines: readonly StepLine[], widthPt: number): Slab[] {
  const action = [
    ...says.before.flatMap((text) => words(text)),
    ...words(says.action, 'bold'),
    ...words(says.taking),
  ];
  return [
    form.type.set(action, { widthPt, sizePt: sizes.step }),
    ...(says.why === null ? [] : [say(form, says.why, { widthPt })]),
    ...lineSlabs(form, lines, widthPt),
  ];
}

function rightSlabs(form: PdfForm, says: StepContent, lines: readonly StepLine[], widthPt: number): Slab[] {
  const { tries } = says;
  const done = form.view.units.length === 1 ? [] : rowBoxes(form, form.words.steps.done);
  return [
    ...lineSlabs(form, lines, widthPt),
    ...(tries === null
      ? []
      : fillSlabs(
          form,
          [...words(tries.text), together(Array.from({ length: tries.boxes }, () => [tickBox]))],
          widthPt,
        )),
    ...(says.sets === null ? [] : [say(form, says.sets, { widthPt })]),
    ...(says.onward === null
      ? []
      : [say(form, says.onward.go, { face: 'bold', sizePt: sizes.step, widthPt })]),
    ...(done.length === 0
      ? []
      : [form.type.set(done, { widthPt, sizePt: sizes.plain, leading: tickLeading })]),
  ];
}

function gutter(form: PdfForm, number: number): Slab {
  const figure = say(form, String(number), { face: 'bold', sizePt: sizes.number, widthPt: 30, leading: 1 });
  const single = form.view.units.length === 1;
  return beside([
    { leftPt: 0, slab: single ? inset(emptyBox(sizes.number), { topPt: -1 }) : nothing },
    { leftPt: 16, slab: figure },
  ]);
}

export function stepBlock(whole: PdfForm, step: SheetStep): PageBlock {
  const form: PdfForm = { ...whole, view: viewOfStep(step, whole.view) };
  const says = stepContent(step, form.view, form.words);
  const columns = stepColumns(says.lines, form.view.units.length);
  const widthPt = form.widthPt - gutterPt;
  const rightPt = widthPt * (1 - leftPart) - betweenPt;
  const right = rightSlabs(form, says, columns.right, rightPt);
  const leftPt = right.length === 0 ? widthPt : widthPt * leftPart;
  const left = leftSlabs(form, says, columns.left, leftPt);
  const indented = (slab: Slab) => inset(slab, { leftPt: gutterPt });

  const top = beside([
    { leftPt: 0, slab: gutter(form, step.number) },
    { leftPt: gutterPt, slab: stack(left, between) },
    { leftPt: gutterPt + leftPt + betweenPt, slab: stack(right, between) },
  ]);
  // With many rows a step can be higher than a page: then it is parted between its lines.
  const tops = top.heightPt > mostTopPt ? partedTop(form, step.number, left, right) : [top];
  const rest = lineSlabs(form, columns.below, widthPt).map(indented);
  const closing = inset(rule(form.widthPt, 0.3), { topPt: 1.6, bottomPt: 1.6 });
  const continued = say(form, `${form.words.steps.step(step.number)}, ${form.words.head.continued}`, {
    face: 'bold',
    widthPt,
  });
  return { slabs: [...tops, ...rest, closing], continued: indented(continued) };
}

/** The same lines one below the other over the whole width. */
function partedTop(form: PdfForm, number: number, left: readonly Slab[], right: readonly Slab[]): Slab[] {
  const lines = [...left, ...right].map((slab) => inset(slab, { leftPt: gutterPt, bottomPt: between }));
  const [first = nothing, ...rest] = lines;
  return [
    beside([
      { leftPt: 0, slab: gutter(form, number) },
      { leftPt: 0, slab: first },
    ]),
    ...rest,
  ];
}

export function stepBlocks(form: PdfForm): PageBlock[] {
  const { sections } = form.words;
  const part = (name: SheetStep['part']) =>
    form.view.steps.filter((step) => step.part === name).map((step) => stepBlock(form, step));
  return [
    headingBlock(form, sections.before),
    ...part('before'),
    headingBlock(form, sections.procedure),
    ...part('procedure'),
    headingBlock(form, sections.after),
    ...part('after'),
  ];
}
