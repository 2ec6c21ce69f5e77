// Outcomes that say again what was said before. A pocket page's outcome can come as a file, as a QR code and as a code
// read over the telephone, and two laptops can each take the same one in: it counts once. What a person logs counts
// always; it is only remembered here, so that what is collected later can be known as the same.
//
// A repeated failure counts again where something else was said of the unit on that sheet in between: better asked
// once too often than a failure lost.

import { sha256Hex } from '../bytes/sha256.ts';
import { canonicalText } from './canonical-text.ts';
import type { OutcomeLogged } from './entry.ts';

/** What is said of a unit, apart from who said it, and from everything that not all forms carry. */
export type Statement = Pick<
  OutcomeLogged,
  'sheet' | 'serial' | 'outcome' | 'versionRead' | 'lights' | 'left' | 'reason' | 'cause'
>;

/** The same on every laptop. `at`: when it was said, where the form tells. 32 hexadecimal digits. */
export function statementId(said: Statement, at?: string): string {
  const { sheet, serial, outcome, versionRead, lights, reason, cause } = said;
  // Left out means running, as for every updated unit.
  const left = said.left ?? (outcome === 'updated' ? 'running' : undefined);
  const content = { sheet, serial, outcome, versionRead, lights, left, reason, cause, at };
  return sha256Hex(canonicalText(content)).slice(0, 32);
}

/** The same of an outcome as it was logged: what was said, whatever it was taken as. */
export function statementIdOf(body: OutcomeLogged): string {
  return statementId({ ...body, outcome: body.said ?? body.outcome });
}

interface Said {
  readonly ids: Set<string>;
  /** Without regard to when it was said: of those that tell when, and of those that do not. */
  readonly timed: Set<string>;
  readonly untimed: Set<string>;
  last: string;
}

/** To be asked of outcomes in the order in which they count, of one unit or of all: does it only repeat? */
export function repeatedOutcomes(): (body: OutcomeLogged) => boolean {
  const said = new Map<string, Said>();
  return (body) => {
    const { serial, sheet, collected } = body;
    if (sheet === undefined && collected === undefined) return false;
    const key = JSON.stringify([serial, sheet ?? null]);
    const known = said.get(key) ?? { ids: new Set(), timed: new Set(), untimed: new Set(), last: '' };
    said.set(key, known);
    const isTimed = collected?.form === 'file' || collected?.form === 'qr';
    const says = collected?.form === 'result-file' ? collected.id : statementIdOf(body);
    const repeats =
      collected !== undefined &&
      (known.ids.has(collected.id) || known.untimed.has(says) || (!isTimed && known.timed.has(says))) &&
      !((body.said ?? body.outcome) === 'failed' && known.last !== says);
    if (collected !== undefined) known.ids.add(collected.id);
    (isTimed ? known.timed : known.untimed).add(says);
    if (!repeats) known.last = says;
    return repeats;
  };
}
