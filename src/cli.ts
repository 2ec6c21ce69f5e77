// From argv to an exit code. Knows how an answer, a failure and a bug are shown; knows no command. The version
// is answered before anything else is loaded.

import packageFacts from '../package.json' with { type: 'json' };
import type { Answer } from './commands/command.ts';
import type { Host } from './ui/host.ts';

/** Before the parser knows the options: an error in them must still come as JSON where JSON was asked for. */
const asksForJson = (argv: readonly string[]) => {
  const end = argv.indexOf('--');
  return argv.slice(0, end < 0 ? undefined : end).includes('--json');
};

function isVersionQuestion(argv: readonly string[]): boolean {
  const rest = argv.filter((argument) => argument !== '--json' && argument !== '--no-color');
  return rest.length === 1 && (rest[0] === '--version' || rest[0] === '-V');
}

const print = (host: Host, text: string) => {
  if (text !== '') host.stdout.write(text.endsWith('\n') ? text : `${text}\n`);
};

async function show(host: Host, json: boolean, command: string, answer: Answer): Promise<number> {
  const { isTTY, columns } = host.stdout;
  if (json) print(host, JSON.stringify({ command, ...answer.json }));
  else if (!isTTY || columns === undefined || answer.isData) print(host, answer.text);
  else print(host, (await import('./ui/fit-width.ts')).fitWidth(answer.text, columns));
  return answer.exit;
}

async function showProblem(
  host: Host,
  json: boolean,
  command: string | null,
  colour: boolean,
  problem: unknown,
): Promise<number> {
  const [{ Failure }, { failureJson, renderBug, renderFailure }] = await Promise.all([
    import('./words/failure.ts'),
    import('./ui/failure-text.ts'),
  ]);
  const isFailure = problem instanceof Failure;
  if (json) {
    const error = isFailure
      ? failureJson(problem)
      : {
          code: 'bug',
          summary: 'This is a bug in slotproof.',
          where: null,
          next: 'Report it with the lines on standard error.',
        };
    print(host, JSON.stringify({ command, error }));
  }
  if (!json || !isFailure) {
    const look = { columns: host.stderr.columns ?? 80, colour };
    host.stderr.write(`${isFailure ? renderFailure(problem, look) : renderBug(problem)}\n`);
  }
  return isFailure ? problem.facts.exit : 1;
}

/** The exit code. Writes results to the host's standard output and all else to its standard error. */
export async function main(argv: readonly string[], givenHost?: Host): Promise<number> {
  if (isVersionQuestion(argv) && givenHost === undefined) {
    const { version } = packageFacts;
    const json = JSON.stringify({ command: 'version', version });
    process.stdout.once('error', (error) => {
      void import('./ui/output-failure.ts').then(({ endWithoutOutput }) => endWithoutOutput(error, 80));
    });
    process.stdout.write(`${argv.includes('--json') ? json : version}\n`);
    return 0;
  }
  const [{ parse }, host] = await Promise.all([
    import('./commands/parse.ts'),
    givenHost ?? import('./ui/host.ts').then(({ processHost }) => processHost()),
  ]);
  const json = asksForJson(argv);
  let command: string | null = null;
  let colour = false;
  try {
    const parsed = parse(argv, host.stdout.columns ?? 80);
    command = parsed.command;
    if (parsed.kind === 'help') {
      return await show(host, json, 'help', { exit: 0, json: { text: parsed.text }, text: parsed.text });
    }
    if (parsed.kind === 'version') {
      const { version } = packageFacts;
      return await show(host, json, 'version', { exit: 0, json: { version }, text: version });
    }
    const [{ compose }, { run }] = await Promise.all([import('./compose.ts'), parsed.spec.load()]);
    const { record } = parsed.options;
    const composed = compose(host, parsed.globals, typeof record === 'string' ? record : undefined);
    colour = composed.context.terminal.colour;
    try {
      return await show(
        host,
        json,
        parsed.command,
        await run(composed.context, parsed.positionals, parsed.options),
      );
    } finally {
      composed.close();
    }
  } catch (problem) {
    return await showProblem(host, json, command, colour, problem);
  }
}

/** For `bin/units-thread.js`. */
export async function checkUnitsOf(path: string): Promise<unknown> {
  return (await import('./compose.ts')).checkUnitsOf(path);
}
