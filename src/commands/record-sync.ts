// `record sync URL`: this laptop's record and the office's server in step. `--set-up` is an administrator's: it makes the
// server's tables. A connection that breaks off is opened again, and the sync goes on from what had been acknowledged.

import { setTimeout as wait } from 'node:timers/promises';
import type { OfficeServer, ServerRecord } from '../ports/office-server.ts';
import { formatMark } from '../record/mark-text.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { renderFindings } from '../ui/finding-text.ts';
import { counted } from '../words/counted.ts';
import { Failure } from '../words/failure.ts';
import { hasStop } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';
import { batchLength } from './sync/move-entries.ts';
import { rememberedMarks, rememberMarks } from './sync/server-memory.ts';
import { type Synced, syncWithServer } from './sync/sync-with-server.ts';

/** How often a lost connection is opened again without anything moved in between. */
const mostInVain = 3;

export async function run(
  context: Context,
  [url = '']: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const office = await context.office();
  if (options.dryRun === true && options.setUp !== true) throw dryRunOfNothing();
  if (!url.includes('://') && url !== '' && context.files.facts(url) !== undefined)
    throw fileGiven(context, url);
  if (options.setUp === true) return setUp(office, url, options.dryRun === true);
  const moved = { sent: 0, fetched: 0 };
  const progress = context.terminal.progress('syncing', 'steps');
  const once = async (server: ServerRecord<UnitRecord>, batchEntries: number) => {
    const { server: id, where } = server;
    // Only now: an address that is none makes no workspace.
    const here = await context.record('write');
    const remembered = rememberedMarks(context, id);
    const { stop } = context;
    const parts = { here, server, remembered, moved, batchEntries, stop, progress: progress.at };
    const synced = await syncWithServer(parts);
    rememberMarks(context, id, where, synced.marks);
    return { ...synced, where, laptop: here.laptop };
  };
  try {
    return answer(context, moved, await untilDone(context, office, url, moved, once));
  } finally {
    progress.end();
  }
}

function fileGiven({ files }: Pick<Context, 'files'>, given: string): Failure {
  return new Failure({
    code: 'server-url-form',
    exit: 2,
    summary: 'This is a file or a folder, and no address of a server.',
    expected: 'postgresql://USER@HOST/DATABASE, without a password',
    where: printable(files.absolute(given), 1000),
    next: "A packet is taken in with slotproof record take-in FILE; for the server's address ask whoever set it up.",
  });
}

function dryRunOfNothing(): Failure {
  return new Failure({
    code: 'option-alone',
    exit: 2,
    summary: '--dry-run goes with --set-up: it shows the SQL instead of running it.',
    where: '--dry-run',
    next: 'A sync itself can be run at any time and broken off; nothing it does is lost or done twice.',
  });
}

/** Opens the server, as often as the connection is lost and something moved before. */
async function untilDone<T>(
  context: Context,
  office: OfficeServer<UnitRecord>,
  url: string,
  moved: { readonly sent: number; readonly fetched: number },
  work: (server: ServerRecord<UnitRecord>, batchEntries: number) => Promise<T>,
): Promise<T> {
  let inVain = 0;
  for (let tries = 0; ; tries++) {
    const before = moved.sent + moved.fetched;
    try {
      const server = await office.open(url, 'exchange');
      try {
        return await work(server, batchLength(inVain));
      } finally {
        server.close();
      }
    } catch (error) {
      inVain = moved.sent + moved.fetched > before ? 0 : inVain + 1;
      const isLost = error instanceof Failure && error.facts.code === 'server-connection-lost';
      // A server that was never there is told at once; one that has gone may be coming up again.
      const isGone = error instanceof Failure && error.facts.code === 'server-unreachable' && tries > 0;
      if ((!isLost && !isGone) || inVain > mostInVain || context.stop.aborted) throw withMoved(error, moved);
      context.terminal.notice('The connection to the server was lost; trying again.');
      await wait(250 * 2 ** inVain);
    }
  }
}

function withMoved(error: unknown, { sent, fetched }: { sent: number; fetched: number }): unknown {
  if (!(error instanceof Failure) || sent + fetched === 0) return error;
  return new Failure({ ...error.facts, more: { ...error.facts.more, sent, fetched } }, error.cause);
}

async function setUp(office: OfficeServer<UnitRecord>, url: string, dryRun: boolean): Promise<Answer> {
  if (dryRun) return { exit: 0, json: { sql: office.setUpText() }, text: office.setUpText(), isData: true };
  const { where, changed } = await office.setUp(url);
  const next = [
    'For each laptop a user of its own (createuser --pwprompt quill), entrusted',
    'with its chain, which slotproof record mark shows there; as this user:',
    "  SELECT slotproof.admit('quill', 'k7mq4rt2');",
    'For the office, which reads everything and adds units up:',
    '  GRANT slotproof_office TO desk;',
  ];
  return {
    exit: 0,
    json: { server: where, changed },
    text: [
      ...next,
      changed ? `Set up: ${printable(where)}` : `It was set up already: ${printable(where)}`,
    ].join('\n'),
  };
}

function answer(
  context: Context,
  { sent, fetched }: { readonly sent: number; readonly fetched: number },
  { findings, marks, splits, where, laptop }: Synced & { readonly where: string; readonly laptop: string },
): Answer {
  const isRefused = hasStop(findings);
  const entries = marks.reduce((sum, { seq }) => sum + seq, 0);
  const own = marks.find((mark) => mark.laptop === laptop);
  return {
    exit: isRefused ? 3 : 0,
    json: {
      verdict: isRefused ? 'damaged' : 'intact',
      server: where,
      laptop,
      sent,
      fetched,
      entries,
      marks,
      splits: splits.map(({ laptop: of, parting }) => ({ laptop: of, ...parting })),
      findings,
    },
    text: [
      ...(findings.length === 0 ? [] : [renderFindings(findings, context.terminal)]),
      ...(own === undefined ? [] : [`Mark: ${formatMark(own)}`]),
      `${isRefused ? 'NOT all in step' : 'In step'} with ${printable(where)}: ${counted(sent, 'entry', 'entries')} sent, ${fetched} fetched.`,
    ].join('\n'),
  };
}
