// The answer to what was seen, for people: each pattern that it may be, how well it fits, what to do next and
// where to look to be surer; the answer itself stands last.

import type { LightMatch } from '../procedure/match-lights.ts';
import { paint } from '../ui/paint.ts';
import { wrap } from '../words/wrap.ts';

interface Look {
  readonly columns: number;
  readonly colour: boolean;
}

const fits: Record<LightMatch['fit'], string> = {
  fits: 'fits what was seen',
  nearly: 'fits but for a small mistake',
  hardly: 'hardly fits: something speaks against it',
};

const lookAgain =
  'Look again for a whole minute and count for ten seconds. As long as you cannot tell, take it that the unit may be writing: leave power and card as they are, and do what the sheet says for lights that are not listed.';

const widthOf = ({ columns }: Look) => Math.min(columns, 100);

function blocks(matches: readonly LightMatch[], width: number): string[] {
  return matches.flatMap((match, i) => [
    wrap(`${i + 1}. ${nameOf(match)}: ${match.means}`, width, '   ', ''),
    wrap(`${fits[match.fit]}; it shows: ${match.shows}`, width, '     ', '   '),
    ...match.surer.map((line) => wrap(line, width, '     ', '   ')),
    '',
  ]);
}

export function renderMatches(matches: readonly LightMatch[], look: Look): string {
  const [best] = matches;
  if (best === undefined) return renderNoMatch(matches, look);
  const width = widthOf(look);
  const answer = `${best.sure ? 'sure' : 'not sure'}: ${nameOf(best)}. Next: ${best.next}`;
  const [first = '', ...rest] = wrap(answer, width, '  ', '').split('\n');
  const verdict = [paint(first, best.sure ? 'green' : 'yellow', look.colour), ...rest];
  return [...blocks(matches, width), ...verdict].join('\n');
}

export function renderNoMatch(nearest: readonly LightMatch[], look: Look): string {
  const width = widthOf(look);
  const named = nearest.length > 0 ? ['The nearest:', ...blocks(nearest, width)] : [];
  return [...named, wrap(`No pattern of this product looks like that. ${lookAgain}`, width)].join('\n');
}

function nameOf({ pattern }: LightMatch): string {
  return pattern ?? 'no light at all';
}
