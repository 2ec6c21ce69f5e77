// What stands on the label of a card's sleeve, for every form of it: its name, what it carries, by which digest that is
// known, who prepared it and when. The code on it says the same to a scanner. Says nothing of where it was used.

import { paragraph } from '../paragraph.ts';

export interface LabelFacts {
  /** Short name, or the last part of an image file's path. */
  readonly name: string;
  /** `product@version`. */
  readonly release: string;
  readonly productName: string;
  /** Revisions that may have it. */
  readonly hardware: readonly string[];
  readonly imageName: string;
  /** 64 figures. */
  readonly sha256: string;
  /** Local day. */
  readonly preparedOn: string;
  readonly preparedBy: string;
}

export interface CardLabel {
  readonly name: string;
  readonly lines: readonly string[];
  /** What its QR code says. */
  readonly code: string;
}

const digestShown = 16;
const lead = 'slotproof-card';

export function cardLabel(facts: LabelFacts): CardLabel {
  const name = paragraph(facts.name);
  const first = facts.sha256.slice(0, digestShown);
  const revisions =
    facts.hardware.length === 1 ? `revision ${facts.hardware[0]}` : `revisions ${facts.hardware.join(', ')}`;
  return {
    name,
    lines: [
      facts.release,
      paragraph(facts.productName),
      `for ${paragraph(revisions)}`,
      `${paragraph(facts.imageName)}, sha256 ${first.match(/.{4}/g)?.join(' ')} …`,
      `prepared ${facts.preparedOn} by ${paragraph(facts.preparedBy)}`,
    ],
    code: `${lead} ${name.replaceAll(' ', '_')} ${facts.release} ${first}`,
  };
}
