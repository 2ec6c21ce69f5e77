// The only file that makes adapters: from the host and the options that stand anywhere to what a command is
// given. Heavy adapters are loaded on demand.

import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { localCards } from './adapters/cards/local-cards.ts';
import { systemClock } from './adapters/clock/system-clock.ts';
import { localFiles } from './adapters/files/local-files.ts';
import { systemRandom } from './adapters/random/system-random.ts';
import { openWorkspace, workspaceRoot } from './adapters/workspace/local-workspace.ts';
import { buildId } from './build-id.ts';
import type { Context, Elsewhere } from './commands/context.ts';
import type { GlobalOptions } from './commands/parse.ts';
import type { Catalogue } from './manifest/catalogue.ts';
import type { OfficeServer } from './ports/office-server.ts';
import type { RecordFile } from './ports/record-file.ts';
import type { RecordStore } from './ports/record-store.ts';
import type { Terminal } from './ports/terminal.ts';
import type { Workspace } from './ports/workspace.ts';
import type { UnitRecord } from './record/unit-record.ts';
import { consoleTerminal } from './ui/console-terminal.ts';
import type { Host } from './ui/host.ts';
import { wantsColour } from './ui/paint.ts';
import type { Finding } from './words/finding.ts';

export interface Composed {
  readonly context: Context;
  close(): void;
}

/** The first of these that is there; seen from this file, which the build puts into dist or a folder of it. */
function shipped(...places: readonly string[]): string {
  const candidates = places.map((path) => fileURLToPath(new URL(path, import.meta.url)));
  return candidates.find((path) => existsSync(path)) ?? candidates[0] ?? '';
}

async function openRecord(
  workspace: Workspace,
  clock: Context['clock'],
  access: 'read' | 'write',
  say: (line: string) => void,
): Promise<RecordStore<UnitRecord> | undefined> {
  if (access === 'read' && !workspace.exists()) return undefined;
  if (access === 'write') workspace.make();
  const [{ openSqliteRecord }, { recordRules }] = await Promise.all([
    import('./adapters/record/sqlite/open-sqlite-record.ts'),
    import('./record/record-rules.ts'),
  ]);
  // Where nothing was built, its parts cannot be loaded from a thread.
  const unitsThread =
    buildId === undefined ? undefined : shipped('../bin/units-thread.js', '../../bin/units-thread.js');
  const place = { path: workspace.record, clock, random: systemRandom, rules: recordRules, unitsThread, say };
  return openSqliteRecord(place, access);
}

/** What `bin/units-thread.js` does, on a thread of its own. */
export async function checkUnitsOf(path: string): Promise<Finding[]> {
  const [units, { recordRules }] = await Promise.all([
    import('./adapters/record/sqlite/check-units.ts'),
    import('./record/record-rules.ts'),
  ]);
  return units.checkUnitsOf(path, recordRules);
}

async function openRecordFile(
  workspace: Workspace,
  clock: Context['clock'],
  say: (line: string) => void,
): Promise<RecordFile> {
  const [{ sqliteRecordFile }, { recordRules }] = await Promise.all([
    import('./adapters/record/sqlite/sqlite-record-file.ts'),
    import('./record/record-rules.ts'),
  ]);
  return sqliteRecordFile({ path: workspace.record, clock, random: systemRandom, rules: recordRules, say });
}

async function officeServer(clock: Context['clock'], env: Host['env']): Promise<OfficeServer<UnitRecord>> {
  const [{ openPostgresRecord, setUpPostgresRecord }, { setUpText }, { serverRules: rules }] =
    await Promise.all([
      import('./adapters/record/postgres/open-postgres-record.ts'),
      import('./adapters/record/postgres/migrate.ts'),
      import('./record/server-rules.ts'),
    ]);
  return {
    open: (url, use) => openPostgresRecord({ url, env, clock, rules }, use),
    setUp: (url) => setUpPostgresRecord(url, env),
    setUpText,
  };
}

function contextAt(
  workspace: Workspace,
  terminal: Terminal,
  clock: Context['clock'],
  givenName: string | undefined,
  host: Host,
  recordUrl?: string,
): Composed {
  const closers: (() => void)[] = [];
  let stop: AbortController | undefined;
  let typedBy = givenName?.trim() || undefined;
  let catalogue: Promise<Catalogue> | undefined;
  let record: RecordStore<UnitRecord> | undefined;

  async function recordFor(access: 'read' | 'write'): Promise<RecordStore<UnitRecord> | undefined> {
    if (record === undefined) {
      record =
        recordUrl === undefined
          ? await openRecord(workspace, clock, access, terminal.notice)
          : await (await context.office()).open(recordUrl, 'own');
      if (record !== undefined) closers.push(() => record?.close());
    }
    // Before any work is done whose entry could not be written.
    if (access === 'write' && record?.readOnly !== undefined) throw record.readOnly;
    return record;
  }

  async function readCatalogue(): Promise<Catalogue> {
    const { loadCatalogue } = await import('./manifest/load-catalogue.ts');
    const manifests = await loadCatalogue(localFiles, {
      folder: workspace.manifests,
      furtherCheck: async () => (await import('./commands/check-product.ts')).checkProduct,
      kept: buildId === undefined ? undefined : { path: workspace.catalogue, build: buildId },
      trust: { path: workspace.trustedSigners, clock },
    });
    const known = await withRecord(manifests);
    if (known.untrusted === undefined) return known;
    const { tellUntrusted } = await import('./commands/tell-untrusted.ts');
    return tellUntrusted(context, known, known.untrusted);
  }

  async function withRecord(manifests: Catalogue): Promise<Catalogue> {
    // Where there is no record nothing is loaded to read it.
    if (manifests.releases.length === 0 || localFiles.facts(workspace.record) === undefined) return manifests;
    const [{ recordWithdrawals }, { withWithdrawals }] = await Promise.all([
      import('./commands/record-withdrawals.ts'),
      import('./manifest/withdrawals.ts'),
    ]);
    return withWithdrawals(manifests, await recordWithdrawals(context));
  }

  const context: Context = {
    workspace,
    files: localFiles,
    cards: localCards,
    clock,
    random: systemRandom,
    terminal,
    shippedManifests: shipped('../manifests', '../../manifests'),
    shippedPage: shipped('./pocket-page.json', '../pocket-page.json', '../dist/pocket-page.json'),
    language: host.env.SLOTPROOF_LANGUAGE,
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
    drives: async () => (await import('./adapters/drives/system-drives.ts')).systemDrives,
    volumes: async () => (await import('./adapters/volumes/local-volumes.ts')).localVolumes,
    archives: async () => (await import('./adapters/archives/zip.ts')).zipArchives,
    keyAgent: async () => (await import('./adapters/keys/ssh-agent.ts')).sshAgent(host.env.SSH_AUTH_SOCK),
    press: async () => (await import('./adapters/pdf/open-pdf-press.ts')).openPdfPress(),
    office: () => officeServer(clock, host.env),
    catalogue() {
      catalogue ??= readCatalogue();
      return catalogue;
    },
    record: recordFor as Context['record'],
    recordFile: () => openRecordFile(workspace, clock, terminal.notice),
    async requireTypedBy() {
      typedBy ??= await terminal.text('Who is working?', '--as NAME');
      return typedBy;
    },
    elsewhere({ root, typedBy: name, clock: otherClock }: Elsewhere) {
      const made = contextAt(
        openWorkspace(root, () => {}),
        terminal,
        otherClock,
        name,
        host,
      );
      closers.push(made.close);
      return made.context;
    },
  };
  return { context, close: () => closers.reverse().forEach((close) => void close()) };
}

/** `recordUrl`: the record is the one on this server. */
export function compose(host: Host, globals: GlobalOptions, recordUrl?: string): Composed {
  const clock = host.clock ?? systemClock;
  const terminal = consoleTerminal({
    canAsk: () => globals.input && Boolean(host.stdin.isTTY && host.stderr.isTTY),
    errorIsTerminal: () => Boolean(host.stderr.isTTY),
    columns: host.stdout.columns ?? 80,
    plain: host.env.TERM === 'dumb',
    colour: wantsColour(host.env, Boolean(host.stdout.isTTY), !globals.color),
    writeError: (text) => void host.stderr.write(text),
    now: clock.now,
  });
  const workspace = openWorkspace(workspaceRoot(globals.workspace, host.env), terminal.notice);
  return contextAt(workspace, terminal, clock, globals.as, host, recordUrl);
}
