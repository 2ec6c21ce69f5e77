// A site with four units of one product whose manifest marks steps that are done once for the site and asks for an order
// by role; a release for all of them, and a card that the record knows as ready.

import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { temporaryFolder } from './card-images.ts';
import { pumpImage, pumpRule, releaseText } from './pump-workspace.ts';
import { type CliResult, runCli } from './run-cli.ts';
import { testClock } from './test-clock.ts';
import { asText, type Line } from './walk-script.ts';

export const siteProduct = `manifest: product
format: 1
id: rill-40
maker: Tarnholt
name: Rill 40 pump drive
source: { document: Rill 40 service book, issue: C }
writtenBy: J. Marl
checkedBy: O. Fenwright
helpline: { phone: '+00 555 0134' }
hazards: [moving-parts]
hardware: [A, B]
serial: { pattern: '^TR(?<hardware>[A-D])[0-9]{8}$', check: luhn }
versions: dotted
card:
${pumpRule}
lights: [{ id: run, label: RUN, colour: green }, { id: data, label: DATA, colour: white }]
patterns:
  - { id: writing, means: It takes the firmware in, busy: true, shows: { run: { perMinute: 60 } } }
  - { id: taken, means: Taken in, shows: { run: on } }
positions:
  hub: { states: [on, off], starts: on, ends: on }
  card: { states: [out, in], starts: out, ends: out }
never: [{ when: { card: in, hub: on }, why: The hub could wake it half-written }]
whileBusy: { card: in, hub: off }
serves: [The run light stays on]
order: { main-pump: first, relay: last }
procedure:
  - { id: hub-off, do: Switch the hub of the site off, sets: { hub: off }, oncePerSite: true, takes: 10min }
  - { id: insert, do: Slide the card in, needs: { hub: off }, sets: { card: in } }
  - { id: look, watch: { writing: look, taken: out }, within: 10min, late: alone, unlisted: alone }
  - { id: out, do: Slide the card out by its tab, sets: { card: out } }
  - { id: after, read: version, where: Display, other: call, unreadable: call }
  - { id: hub-on, do: Switch the hub of the site on, needs: { card: out }, sets: { hub: on }, oncePerSite: true, takes: 10min }
  - { id: serving, confirm: serves, otherwise: call-late }
  - { id: finished, end: updated }
  - { id: call, do: Call the service lead }
  - { id: hub-on-failed, do: Switch the hub of the site on, sets: { hub: on }, oncePerSite: true, takes: 10min }
  - { id: ended-badly, end: failed }
  - { id: call-late, do: Call the service lead about its service }
  - { id: ended-late, end: failed }
  - { id: alone, do: Leave everything alone and call the helpline }
  - { id: ended-busy, end: failed, leaves: { hub: off, card: in } }
`;

/** In the register's order; by role the second comes first and the third last. */
export const siteUnits = [
  { serial: 'TRB00000018', role: '' },
  { serial: 'TRB00000026', role: 'main pump' },
  { serial: 'TRB00000034', role: 'Relay' },
  { serial: 'TRB00000042', role: 'spare' },
] as const;

export interface SiteWorkspace {
  readonly workspace: string;
  run(...args: readonly string[]): Promise<CliResult>;
  visit(serial: string, lines: readonly Line[], ...args: readonly string[]): Promise<CliResult>;
  remove(): void;
}

export async function siteWorkspace(): Promise<SiteWorkspace> {
  const workspace = temporaryFolder();
  mkdirSync(join(workspace, 'manifests'));
  writeFileSync(join(workspace, 'manifests/rill-40.yaml'), siteProduct);
  writeFileSync(join(workspace, 'manifests/rill-40-4.2.0.yaml'), releaseText('4.2.0', 7, pumpImage));
  const table = join(workspace, 'units.csv');
  const rows = siteUnits.map(({ serial, role }) => `${serial},Low Meadow,rill-40,B,4.1.0,${role}`);
  writeFileSync(table, `serial,site,product,hardware,version,role\n${rows.join('\n')}\n`);
  const run = (...args: readonly string[]) => runCli(args, { workspace });
  const taken = await run('units', 'import', table, '--as', 'R. Quill', '--json');
  if (taken.exit !== 0) throw new Error(taken.stdout);
  let files = 0;
  // One answer after another, in all visits together.
  let atMs = testClock.now() - 3_600_000;
  return {
    workspace,
    run,
    visit(serial, lines, ...args) {
      files += 1;
      const path = join(workspace, `answers-${files}.jsonl`);
      const later = (line: Line) => {
        atMs += 15_000;
        return { ...line, at: new Date(atMs).toISOString() };
      };
      writeFileSync(path, asText(lines.map(later)));
      return run('visit', serial, '--answers', path, '--as', 'R. Quill', '--json', ...args);
    },
    remove: () => rmSync(workspace, { recursive: true, force: true }),
  };
}
