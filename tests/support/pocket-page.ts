// Pocket pages of the demonstration products as the command makes them, each in a file of its own, and what the laptop
// kept of them.

import { readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { checkCharactersAgree } from '../../src/fleet/check-characters.ts';
import type { OutcomeSheet } from '../../src/sheet/outcome/outcome.ts';
import { outcomeSheetOf } from '../../src/sheet/outcome/outcome-sheet.ts';
import { decodeSheetFacts } from '../../src/sheet/sheet-facts.ts';
import { makeDemoWorkspace } from './demo-workspace.ts';
import { runCli } from './run-cli.ts';

export interface DemoUnit {
  readonly serial: string;
  readonly hardware: string;
  readonly version: string;
}

export const demoUnits = {
  hearth: [
    { serial: 'TB8120000834', hardware: 'B', version: '2.5.0' },
    { serial: 'TB8120001238', hardware: 'A', version: '2.5.0' },
  ],
  weir: [{ serial: withCheck('TW2A0000417', 'mod-37-2'), hardware: '2', version: '2026-01-28' }],
  kerb: [{ serial: withCheck('TKR2000004711', 'mod-97-10'), hardware: 'R2', version: '121' }],
} as const satisfies Record<string, readonly DemoUnit[]>;

function withCheck(head: string, scheme: 'mod-37-2' | 'mod-97-10'): string {
  const endings =
    scheme === 'mod-97-10'
      ? Array.from({ length: 100 }, (_, i) => String(i).padStart(2, '0'))
      : [...'0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*'];
  const ending = endings.find((one) => checkCharactersAgree(scheme, head + one));
  if (ending === undefined) throw new Error(`no check character for ${head}`);
  return head + ending;
}

export interface PocketPage {
  readonly path: string;
  readonly url: string;
  readonly html: string;
  readonly number: string;
  readonly sheet: OutcomeSheet;
}

export interface PocketPages {
  readonly folder: string;
  readonly workspace: string;
  /** `units`: none for a serial written in by hand. */
  make(release: string, units: readonly DemoUnit[], ...options: string[]): Promise<PocketPage>;
  remove(): void;
}

/** A workspace with the demonstration manifests. */
export function pocketPages(): PocketPages {
  const { folder, workspace } = makeDemoWorkspace();
  const known = new Set<string>();
  const call = async (...args: string[]) => {
    const result = await runCli([...args, '--as', 'R. Quill', '--json'], { workspace });
    if (result.exit !== 0) throw new Error(`${args.join(' ')}: ${result.stdout}${result.stderr}`);
    return result.json;
  };
  return {
    folder,
    workspace,
    remove: () => rmSync(folder, { recursive: true, force: true }),
    async make(release, units, ...options) {
      const product = release.split('@')[0] ?? '';
      for (const { serial, hardware, version } of units) {
        if (known.has(serial)) continue;
        known.add(serial);
        const about = ['--product', product, '--hardware', hardware, '--version', version];
        await call('units', 'add', serial, ...about, '--site', 'Low Meadow', '--access', 'Key at the dairy');
      }
      const named = units.length === 0 ? [] : ['--unit', ...units.map(({ serial }) => serial)];
      const made = await call('sheet', release, ...named, '--format', 'pocket', ...options);
      const facts = join(workspace, 'sheets', `${made.sheet}.json`);
      const sheet = outcomeSheetOf(decodeSheetFacts(readFileSync(facts, 'utf8'), facts));
      if (sheet === undefined) throw new Error('the sheet has no key');
      const html = readFileSync(made.path, 'utf8');
      return { path: made.path, url: pathToFileURL(made.path).href, html, number: made.sheet, sheet };
    },
  };
}
