// `doctor`: is this laptop ready for tonight? Looks at everything that preparing cards and going on site will need from it,
// each within some seconds, and changes nothing. It says nothing of cards, units and releases themselves.

import { renderFinding } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { exitCode } from '../words/exit-code.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';
import type { Answer, Run } from './command.ts';
import type { Context } from './context.ts';
import { checkDownloads, checkManifests, checkNews } from './doctor/check-manifests.ts';
import { checkPaper, checkReaders } from './doctor/check-readers.ts';
import { checkClock, checkRecord } from './doctor/check-record.ts';
import { checkRoom, checkWorkspace } from './doctor/check-workspace.ts';
import { asked, type LaptopCheck } from './doctor/laptop-check.ts';

/** A program of the system that does not answer is told, and not waited for. */
const longestMs = 10_000;

const looks: readonly (readonly [string, (context: Context) => Promise<LaptopCheck>])[] = [
  ['paper', checkPaper],
  ['readers', checkReaders],
  ['news', checkNews],
  ['downloads', checkDownloads],
  ['manifests', checkManifests],
  ['room', async (context) => checkRoom(context, (await context.catalogue()).releases)],
  ['clock', checkClock],
  ['record', checkRecord],
  ['workspace', checkWorkspace],
];

export const run: Run = async (context) => {
  const checks: LaptopCheck[] = [];
  for (const [check, look] of looks) {
    checks.push(
      await inTime(
        check,
        asked(check, () => look(context)),
      ),
    );
  }
  return answer(context, checks);
};

async function inTime(check: string, answered: Promise<LaptopCheck>): Promise<LaptopCheck> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<LaptopCheck>((resolve) => {
    timer = setTimeout(() => {
      resolve({
        check,
        verdict: 'stop',
        summary: 'The system does not answer.',
        seen: `nothing in ${longestMs / 1000} s`,
        next: 'Take out what was plugged in last, then run slotproof doctor again.',
      });
    }, longestMs);
  });
  try {
    return await Promise.race([answered, late]);
  } finally {
    clearTimeout(timer);
  }
}

const order = { good: 0, warn: 1, stop: 2 } as const;

function answer({ terminal }: Context, found: readonly LaptopCheck[]): Answer {
  const checks = [...found].sort((one, other) => order[one.verdict] - order[other.verdict]);
  const of = (verdict: LaptopCheck['verdict']) => checks.filter((one) => one.verdict === verdict).length;
  const [stops, warnings] = [of('stop'), of('warn')];
  const ending =
    stops > 0
      ? `Not ready for tonight: ${counted(stops, 'check')} ${stops === 1 ? 'stops' : 'stop'} it; see the last one.`
      : warnings > 0
        ? `Ready for tonight, with ${counted(warnings, 'warning')}.`
        : 'Ready for tonight.';
  return {
    exit: stops > 0 ? exitCode.no : exitCode.done,
    json: { verdict: stops > 0 ? 'not-ready' : 'ready', checks },
    text: [...checks.map((check) => checkText(check, terminal)), '', ending].join('\n'),
  };
}

const indent = '        ';

function checkText({ check, verdict, summary, ...more }: LaptopCheck, look: Context['terminal']): string {
  if (verdict === 'good') {
    const text = wrap(`${printable(summary, 1000)} [${check}]`, Math.min(look.columns, 100), indent);
    return `  good  ${text.trimStart()}`;
  }
  const finding: Finding = { code: check, severity: verdict, summary, next: '', ...more };
  return renderFinding(finding, look);
}
