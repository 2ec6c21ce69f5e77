// A workspace of the demonstration maker with chargers in the register, sheets with a pocket page, and outcomes of
// their units in every form: made by the page's own code with the page's own key, as a phone would.

import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import type { FiledOutcome, OutcomeSheet } from '../../src/sheet/outcome/outcome.ts';
import { encodeOutcomeCode } from '../../src/sheet/outcome/outcome-code.ts';
import { encodeOutcomeFile } from '../../src/sheet/outcome/outcome-file.ts';
import { encodeOutcomeQr } from '../../src/sheet/outcome/outcome-qr.ts';
import { outcomeSheetOf } from '../../src/sheet/outcome/outcome-sheet.ts';
import { decodeSheetFacts } from '../../src/sheet/sheet-facts.ts';
import { makeDemoWorkspace } from './demo-workspace.ts';
import { recordRows } from './record-rows.ts';
import { type CliResult, runCli } from './run-cli.ts';
import { testClock } from './test-clock.ts';

/** ISO/IEC 7064 MOD 97-10 over all digits, worked out here on its own. */
export function kerbSerial(number: number, hardware = 2): string {
  const digits = `${hardware}${String(number).padStart(9, '0')}`;
  const check = 98n - ((BigInt(digits) * 100n) % 97n);
  return `TKR${digits}${String(check).padStart(2, '0')}`;
}

export interface PocketWorkspace {
  readonly path: string;
  readonly units: readonly string[];
  cli(...args: string[]): Promise<CliResult>;
  /** As `R. Quill`. */
  collect(...args: string[]): Promise<CliResult>;
  sheet(...units: string[]): Promise<OutcomeSheet>;
  file(name: string, content: string | Uint8Array): string;
  outcomes(): ReturnType<typeof recordRows>;
  remove(): void;
}

export async function pocketWorkspace(count = 3): Promise<PocketWorkspace> {
  const { folder, workspace } = makeDemoWorkspace();
  const cli = (...args: string[]) => runCli([...args, '--json'], { workspace });
  const file = (name: string, content: string | Uint8Array) => {
    const path = join(folder, name);
    writeFileSync(path, content);
    return path;
  };
  const units = Array.from({ length: count }, (_, i) => kerbSerial(i + 1));
  const rows = units.map((serial) => `${serial},Alder Farm,kerb-22,,121`);
  const imported = await cli(
    'units',
    'import',
    file('fleet.csv', `serial,site,product,hardware,version\n${rows.join('\n')}\n`),
  );
  expect(imported.exit, imported.stdout).toBe(0);
  return {
    path: workspace,
    units,
    cli,
    file,
    collect: (...args) => cli('collect', ...args, '--as', 'R. Quill'),
    async sheet(...serials) {
      const unit = serials.length === 0 ? [] : ['--unit', ...serials];
      const order = ['sheet', 'kerb-22@126', ...unit, '--format', 'pocket'];
      const { exit, json, stdout } = await cli(...order);
      expect(exit, stdout).toBe(0);
      const path = join(workspace, 'sheets', `${json.sheet}.json`);
      const keyed = outcomeSheetOf(decodeSheetFacts(readFileSync(path, 'utf8'), path));
      if (keyed === undefined) throw new Error('a pocket page without a key');
      return keyed;
    },
    outcomes: () => recordRows(join(workspace, 'record.db')).filter(({ kind }) => kind === 'outcome'),
    remove: () => rmSync(folder, { recursive: true, force: true }),
  };
}

/** Of the first row, now. */
export function outcomeOf(sheet: OutcomeSheet, changes: Partial<FiledOutcome> = {}): FiledOutcome {
  return {
    sheet: sheet.sheet,
    row: 1,
    serial: sheet.units[0] ?? kerbSerial(1),
    outcome: 'updated',
    versionRead: '126',
    lights: 'loaded',
    left: 'running',
    at: new Date(testClock.now()).toISOString(),
    by: 'M. Tansy',
    ...changes,
  };
}

export const asFile = (outcome: FiledOutcome, sheet: OutcomeSheet) => encodeOutcomeFile(outcome, sheet);
export const asQr = (outcome: FiledOutcome, sheet: OutcomeSheet) => encodeOutcomeQr(outcome, sheet) as string;
export const asCode = (outcome: FiledOutcome, sheet: OutcomeSheet) =>
  encodeOutcomeCode(outcome, sheet) as string;
