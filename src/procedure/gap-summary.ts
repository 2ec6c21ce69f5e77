// What the check for gaps says of a procedure in which it found none: how much it looked at, how long the work
// can take, and how each end leaves the unit. Never without the sentence that this is no approval.

import { counted } from '../words/counted.ts';
import type { GapCheck, GapEnd } from './check-gaps.ts';
import type { WayTime } from './procedure-times.ts';
import { assumedTimes } from './step-time.ts';

/** One line each, without a trailing newline; the statement last. */
export function gapSummary(check: GapCheck): string[] {
  const { times } = check;
  const lines = [`${counted(check.states, 'combination')} of step, positions and tries looked at.`];
  if (times.shortest !== undefined && times.longest !== undefined) {
    lines.push(`Shortest way: ${wayLine(times.shortest)}. Longest way: ${wayLine(times.longest)}.`);
  }
  for (const { end, shortest, longest } of times.ends) {
    lines.push(`To \`${end}\`: ${spanText(shortest.minutes, longest.minutes)}.`);
  }
  const assumed = times.assumed.map((kind) => assumedTimes[kind]);
  if (assumed.length > 0) lines.push(`Reckoned where no time is stated: ${assumed.join('; ')}.`);
  if (times.plateMayBeLonger.length > 0) {
    lines.push(
      `May take longer by the plate: ${times.plateMayBeLonger.map((id) => `\`${id}\``).join(', ')}.`,
    );
  }
  for (const end of check.ends) lines.push(endLine(end));
  lines.push(`This was ${check.statement}.`);
  return lines;
}

function spanText(from: number, to: number): string {
  return from === to ? counted(to, 'minute') : `${from} to ${to} minutes`;
}

function wayLine({ minutes, path }: WayTime): string {
  return `${counted(minutes, 'minute')}, ${counted(path.length, 'step')}, to \`${path[path.length - 1]}\``;
}

function endLine({ step, kind, leaves, unlikeEnds }: GapEnd): string {
  const left = unlikeEnds.map((name) => `the ${name} ${leaves[name]}`);
  return `\`${step}\` ends as ${kind} and leaves ${left.length === 0 ? 'everything as a finished unit stands' : left.join(', ')}.`;
}
