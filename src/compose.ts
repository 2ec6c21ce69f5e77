// The only file that makes adapters: from the host and the options that stand anywhere to what a command is
// given. Heavy adapters are loaded on demand.

import { cardImages } from './adapters/cards/card-images.ts';
import { systemClock } from './adapters/clock/system-clock.ts';
import { localFiles } from './adapters/files/local-files.ts';
import { systemRandom } from './adapters/random/system-random.ts';
import { openWorkspace, workspaceRoot } from './adapters/workspace/local-workspace.ts';
import type { Context } from './commands/context.ts';
import type { GlobalOptions } from './commands/parse.ts';
import type { Catalogue } from './manifest/catalogue.ts';
import type { RecordStore } from './ports/record-store.ts';
import type { UnitRecord } from './record/unit-record.ts';
import { consoleTerminal } from './ui/console-terminal.ts';
import type { Host } from './ui/host.ts';
import { wantsColour } from './ui/paint.ts';

export interface Composed {
  readonly context: Context;
  close(): void;
}

export function compose(host: Host, globals: GlobalOptions): Composed {
  const terminal = consoleTerminal({
    canAsk: globals.input && Boolean(host.stdin.isTTY && host.stderr.isTTY),
    errorIsTerminal: Boolean(host.stderr.isTTY),
    columns: host.stdout.columns ?? host.stderr.columns ?? 80,
    colour: wantsColour(host.env, Boolean(host.stdout.isTTY), !globals.color),
    writeError: (text) => void host.stderr.write(text),
    now: systemClock.now,
  });
  const workspace = openWorkspace(workspaceRoot(globals.workspace, host.env), terminal.notice);
  const closers: (() => void)[] = [];
  let stop: AbortController | undefined;
  let typedBy = globals.as?.trim() || undefined;
  let catalogue: Promise<Catalogue> | undefined;
  let record: RecordStore<UnitRecord> | undefined;

  const context: Context = {
    workspace,
    files: localFiles,
    cards: cardImages,
    clock: systemClock,
    random: systemRandom,
    terminal,
    get typedBy() {
      return typedBy;
    },
    get stop() {
      if (stop === undefined) {
        const controller = new AbortController();
        closers.push(host.onInterrupt(() => controller.abort()));
        stop = controller;
      }
      return stop.signal;
    },
    archives: async () => (await import('./adapters/archives/zip.ts')).zipArchives,
    catalogue() {
      catalogue ??= import('./manifest/load-catalogue.ts').then(({ loadCatalogue }) =>
        loadCatalogue(localFiles, workspace.manifests),
      );
      return catalogue;
    },
    // One connection for reading and writing: the second to ask is given the first one's.
    async record(access: 'read' | 'write') {
      if (record !== undefined) return record;
      const [{ openSqliteRecord }, { recordRules }] = await Promise.all([
        import('./adapters/record/sqlite/open-sqlite-record.ts'),
        import('./record/record-rules.ts'),
      ]);
      if (access === 'write') workspace.make();
      const place = { path: workspace.record, clock: systemClock, random: systemRandom, rules: recordRules };
      const opened = openSqliteRecord(place, access);
      if (opened !== undefined) closers.push(() => opened.close());
      record = opened;
      return opened as RecordStore<UnitRecord>;
    },
    async requireTypedBy() {
      typedBy ??= await terminal.text('Who is working?', '--as NAME');
      return typedBy;
    },
  };
  return { context, close: () => closers.reverse().forEach((close) => void close()) };
}
