// `demo`: the whole job in a throw-away workspace, on a card image file. Runs the real commands one after the
// other and shows what each was asked and what it answered; reads and writes nothing of the user's own.

import { releaseKey, requireRelease } from '../manifest/catalogue.ts';
import { demoDownload } from '../manifest/demo-firmware.ts';
import { paint } from '../ui/paint.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { wrap } from '../words/wrap.ts';
import type { Answer, OptionValues, Run } from './command.ts';
import type { Context } from './context.ts';
import { type StoryGround, type StoryStep, storyCard, storySteps } from './demo/story.ts';
import { storyClock } from './demo/story-clock.ts';
import { commandTable } from './table.ts';

const cardSize = '4GB';

export const run: Run = async (context, _positionals, options) => {
  const keep = typeof options.keep === 'string' ? context.files.absolute(options.keep) : undefined;
  const place = keep === undefined ? context.files.makeTemporaryFolder() : { path: keep, remove: () => {} };
  if (keep !== undefined) requireNothingThere(context, keep);
  try {
    return await play(context, place.path, keep !== undefined);
  } finally {
    place.remove();
  }
};

function requireNothingThere(context: Context, path: string): void {
  const facts = context.files.facts(path);
  if (facts === undefined || (facts.kind === 'folder' && context.files.list(path).length === 0)) return;
  throw new Failure({
    code: 'folder-not-empty',
    exit: exitCode.wrongUse,
    summary: 'The demo plays only in a new folder.',
    seen: facts.kind === 'folder' ? 'a folder with something in it' : 'something that is no folder',
    where: path,
    next: 'Give another name with --keep, or leave it out.',
  });
}

async function play(outer: Context, folder: string, kept: boolean): Promise<Answer> {
  const ground = await prepareGround(outer, folder);
  const steps: { step: StoryStep; answer: Answer }[] = [];
  for (const step of storySteps(ground)) {
    step.before?.();
    const answer = await call(ground.context, step.command, step.positionals, step.options);
    if (answer.exit !== step.exit) {
      throw new Error(
        `the demo step "${step.shown}" ended with ${answer.exit}, not ${step.exit}:\n${answer.text}`,
      );
    }
    steps.push({ step, answer });
  }
  const { columns, colour } = outer.terminal;
  const width = Math.min(columns, 100);
  const look = { columns: width, colour, folder };
  return {
    exit: exitCode.done,
    json: {
      steps: steps.map(({ step, answer }) => ({
        title: step.title,
        command: `slotproof ${step.shown}`,
        exit: answer.exit,
        answer: answer.json,
      })),
      workspace: kept ? ground.context.workspace.root : null,
    },
    text: [
      wrap(beginning, width),
      ...steps.map(({ step, answer }, index) => renderStep(index + 1, step, answer, look)),
      renderEnding(ground, kept, look),
    ].join('\n\n'),
  };
}

const beginning =
  'A made-up evening and the day after at the Sorrel Vale energy co-operative. Makers, units, people and firmware are invented; the commands, the card image and the record are real, in a folder that is thrown away.';

/** Manifests in the workspace, and the card as it came back from an earlier round. */
async function prepareGround(outer: Context, folder: string): Promise<StoryGround> {
  const { files } = outer;
  const clock = storyClock(outer.clock);
  clock.setTo('2026-11-17', 18);
  files.makeFolder(folder);
  const context = outer.elsewhere({
    root: files.absolute(`${folder}/workspace`),
    typedBy: 'R. Quill',
    clock,
  });
  context.workspace.make();
  const shipped = files.absolute(`${outer.shippedManifests}/tarnholt`);
  for (const { name } of files.list(shipped)) {
    files.write(`${context.workspace.manifests}/${name}`, files.readBytes(`${shipped}/${name}`, 2 ** 20));
  }
  const catalogue = await context.catalogue();
  const release = requireRelease(catalogue, 'hearth-90@2.6.0');
  const older = requireRelease(catalogue, 'hearth-90@2.5.0');
  const download = demoDownload(older);
  const from = files.absolute(`${folder}/${download.name}`);
  files.write(from, download.bytes);
  const card = files.absolute(`${folder}/${storyCard}`);
  await call(context, 'prepare', [card], { for: releaseKey(older), from, fresh: true, size: cardSize });
  return { context, clock, folder, release, older };
}

async function call(
  context: Context,
  command: string,
  positionals: readonly string[],
  options: OptionValues,
): Promise<Answer> {
  const spec = commandTable.find(({ name }) => name === command);
  if (spec === undefined) throw new Error(`there is no command ${command}`);
  const { run: runCommand } = await spec.load();
  return runCommand(context, positionals, options);
}

interface Look {
  readonly columns: number;
  readonly colour: boolean;
  readonly folder: string;
}

function renderStep(number: number, step: StoryStep, answer: Answer, look: Look): string {
  const lines = answer.text.replaceAll(`${look.folder}/`, '').split('\n');
  const shown = step.lines === undefined ? lines : lines.slice(0, step.lines);
  const left = lines.length - shown.length;
  return [
    paint(wrap(`${number}. ${step.title}`, look.columns, '   ', ''), 'bold', look.colour),
    wrap(`$ slotproof ${step.shown}`, look.columns, '      ', '   '),
    '',
    ...shown,
    ...(left > 0 ? [`   … and ${left} lines more`] : []),
  ].join('\n');
}

function renderEnding(ground: StoryGround, kept: boolean, look: Look): string {
  const { root } = ground.context.workspace;
  if (!kept) {
    return wrap(
      'That was the whole job; the folder is gone again. To keep one to play with: slotproof demo --keep try',
      look.columns,
    );
  }
  return [
    'That was the whole job. To play on with the same units, cards and record:',
    `  export SLOTPROOF_WORKSPACE=${root}`,
    '  slotproof audit',
  ].join('\n');
}
