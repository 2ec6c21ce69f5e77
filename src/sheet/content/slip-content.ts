// What the slip for the customer says: how each unit was left and how each thing stands, what not to switch on,
// and whom to ring. It is made beforehand and filled in by hand on site; it gives no order of switching and
// explains no work: that is for licensed persons.

import type { SheetLanguage } from '../language.ts';
import type { SheetView, UnitRow } from '../sheet-view.ts';
import type { ResultField } from './back-content.ts';
import { helplineText } from './front-content.ts';
import { placedText } from './step-content.ts';

export interface SlipUnit {
  /** '' where there is only one. */
  readonly title: string;
  readonly fields: readonly ResultField[];
  readonly stands: readonly (ResultField & { readonly kind: 'choose' })[];
  /** Lines to write on. */
  readonly doNot: readonly string[];
}

export interface SlipContent {
  readonly title: string;
  readonly head: string;
  readonly equipment: string;
  readonly visit: readonly ResultField[];
  readonly intro: string;
  readonly units: readonly SlipUnit[];
  /** To be ticked where it is so. */
  readonly writing: string | null;
  readonly rules: readonly string[];
  readonly never: { readonly intro: string; readonly items: readonly string[] } | null;
  readonly leave: string;
  readonly ring: { readonly when: string; readonly numbers: readonly ResultField[] };
  readonly signed: readonly ResultField[];
}

const write = (label: string): ResultField => ({ kind: 'write', label });

function unitOf(unit: UnitRow, view: SheetView, words: SheetLanguage): SlipUnit {
  const { slip } = words;
  const positions = view.steps.flatMap(({ body }) => (body.kind === 'condition' ? body.positions : []));
  return {
    title: view.units.length === 1 ? '' : slip.unit(unit.row),
    fields: [
      unit.serial === null ? write(slip.serial) : { kind: 'given', label: slip.serial, text: unit.serial },
      { kind: 'choose', label: slip.work, choices: slip.works },
      { kind: 'choose', label: slip.left, choices: slip.lefts },
    ],
    stands: positions.map(({ name, states }) => ({ kind: 'choose', label: name, choices: states })),
    doNot: [slip.doNot, slip.until],
  };
}

/** One for each site, since it stays there. */
export function slipContents(view: SheetView, words: SheetLanguage): SlipContent[] {
  const sites = [...new Set(view.units.map(({ site }) => site))];
  return sites.map((site) =>
    slipContent(
      site,
      view.units.filter((unit) => unit.site === site),
      view,
      words,
    ),
  );
}

function slipContent(
  site: string | null,
  units: readonly UnitRow[],
  view: SheetView,
  words: SheetLanguage,
): SlipContent {
  const { slip } = words;
  const told = view.cautions.hazards.flatMap((hazard) => slip.hazards[hazard] ?? []);
  return {
    title: slip.title,
    head: slip.head(view.number),
    equipment: `${slip.equipment}: ${view.product.name}, ${words.head.maker(view.product.maker)}`,
    visit: [
      site === null ? write(slip.site) : { kind: 'given', label: slip.site, text: site },
      write(slip.day),
    ],
    intro: slip.intro,
    units: units.map((unit) => unitOf(unit, view, words)),
    writing: view.patterns.some(({ busy }) => busy) ? slip.writing : null,
    rules: [slip.asLeft, slip.card, slip.inside, ...told],
    never:
      view.never.length === 0
        ? null
        : {
            intro: slip.never,
            items: view.never.map(({ when, why }) => `${placedText(words, when)}. ${why}`),
          },
    leave: slip.leave,
    ring: {
      when: slip.ringWhen,
      numbers: [
        write(slip.emergency),
        write(slip.service),
        write(slip.lead),
        view.helpline === null
          ? write(slip.helpline)
          : { kind: 'given', label: slip.helpline, text: helplineText(view, words) },
        write(slip.caseNumber),
      ],
    },
    signed: [write(slip.told), write(slip.by)],
  };
}
