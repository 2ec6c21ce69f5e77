// Why an answer was not taken, in a sentence or two.

import type { Complaint } from '../../procedure/walk/walk.ts';
import { printable } from '../../words/printable.ts';
import type { WalkTexts } from './walk-texts.ts';

export function complaintText({ words, time }: WalkTexts, complaint: Complaint): string {
  const say: Record<Complaint['code'], (seen: string, expected: string, time: string) => string> =
    words.walk.complaints;
  const { seen, expected, fromMs } = complaint;
  return say[complaint.code](
    printable(seen ?? '', 300),
    printable(expected ?? '', 600),
    fromMs === undefined ? '' : time(fromMs),
  );
}
