// Sites and units that change theirs, by the commands. What is written is read back with the stock sqlite3 program.
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { run as move } from '../../src/commands/units-move.ts';
import { draftEntry } from '../../src/record/entry.ts';
import { openedWorkspace } from '../support/opened-workspace.ts';
import { recordRows } from '../support/record-rows.ts';
import { pumpSerial, type RegisterWorkspace, registerWorkspace } from '../support/register-workspace.ts';
import { type CliResult, runCli } from '../support/run-cli.ts';
import { type ScriptedAnswer, scriptedPerson } from '../support/scripted-person.ts';

const [one, two, three] = [pumpSerial(1), pumpSerial(2), pumpSerial(3)];
let workspace: RegisterWorkspace;
beforeEach(async () => {
  workspace = registerWorkspace();
  const { context, close } = openedWorkspace(workspace.path);
  const store = await context.record('write');
  const alder = { address: 'Mill Lane 3', contact: 'Mx Reed', access: 'gate code' };
  const units = [
    [one, 'Alder Farm', '4.0.0', { role: 'well pump', ...alder, notes: 'behind the barn' }],
    [two, 'Alder Farm', '3.8.0', alder],
    [three, 'Birch Yard', '4.0.0', { address: 'Birch 1', contact: 'Mx Lane' }],
  ] as const;
  const signature = { claimedAt: '2026-11-01T08:00:00.000+00:00', typedBy: 'R. Quill' };
  await store.append(
    units.flatMap(([serial, site, version, details]) => [
      draftEntry('unit-added', signature, { serial, product: 'rill-40', hardware: 'B', site, details }),
      draftEntry('version-seen', signature, { serial, version, evidence: 'reported', dated: true }),
    ]),
  );
  close();
});
afterEach(() => workspace.remove());

const cli = (...args: string[]): Promise<CliResult> =>
  runCli([...args, '--json', '--as', 'R. Quill'], { workspace: workspace.path });
const people = (columns: number, ...args: string[]) =>
  runCli([...args, '--as', 'R. Quill'], { workspace: workspace.path, columns });
const rows = () => recordRows(workspace.record);

describe('units move', () => {
  test('one entry: where from, where to, and what of the old site no longer holds of it', async () => {
    const { exit, json } = await cli(
      ...['units', 'move', one, '--to', 'birch  yard', '--at', '2026-11-20T10:00', '--why', 'swapped'],
    );
    expect(exit).toBe(0);
    expect(json).toMatchObject({ from: 'Alder Farm', to: 'Birch Yard', moved: true, newSite: false });
    const row = rows().at(-1)!;
    expect([row.kind, row.body]).toEqual([
      'unit-moved',
      {
        serial: one,
        site: 'Birch Yard',
        from: 'Alder Farm',
        why: 'swapped',
        details: { address: 'Birch 1', contact: 'Mx Lane', access: null },
      },
    ]);
    expect(row.claimedAt).toMatch(/^2026-11-20T10:00/);
    expect(json.unit).toMatchObject({ site: 'Birch Yard', version: '4.0.0', evidence: 'reported' });
    expect(json.unit.details).toEqual({
      role: 'well pump',
      address: 'Birch 1',
      contact: 'Mx Lane',
      notes: 'behind the barn',
    });
    expect(json.findings.map(({ code }: { code: string }) => code)).toEqual(['role-kept']);
  });

  test('its history stays: units show, the audit of both sites and of an earlier day, the report', async () => {
    await cli('log', one, 'failed', '--cause', 'unit', '--left', 'locked-off', '--at', '2026-11-19T09:00');
    await cli('units', 'move', one, '--to', 'Birch Yard', '--role', 'spare', '--at', '2026-11-20T10:00');
    const { json } = await cli('units', 'show', one);
    expect(json.sites).toMatchObject([
      { site: 'Alder Farm', begun: 'registered', ended: 'moved' },
      { site: 'Birch Yard', begun: 'moved', until: null, ended: null },
    ]);
    expect(json.sites[0].until).toBe(json.sites[1].since);
    expect(json.unit).toMatchObject({ status: 'failed', left: 'locked-off', site: 'Birch Yard' });
    expect((await people(80, 'units', 'show', one)).stdout).toMatch(
      /^Before {4}Alder Farm until 2026-11-20$/m,
    );
    const serialsAt = async (...more: string[]) =>
      (await cli('audit', ...more)).json.units.map(({ serial }: { serial: string }) => serial);
    expect(await serialsAt('--site', 'Birch Yard')).toEqual([one, three]);
    expect(await serialsAt('--site', 'Alder Farm')).toEqual([two]);
    expect(await serialsAt('--site', 'Alder Farm', '--as-of', '2026-11-19')).toEqual([one, two]);
    const { path } = (await cli('report', one)).json;
    const { readFileSync } = await import('node:fs');
    expect(readFileSync(path, 'utf8').replace(/\s+/g, ' ')).toContain('moved to Birch Yard, from Alder Farm');
  });

  test('a move that was wrong is made void: site, address and whom to call are as they were', async () => {
    const before = (await cli('units', 'show', one)).json.unit;
    const { json } = await cli('units', 'move', one, '--to', 'Birch Yard', '--role', 'spare');
    expect(json.unit.details).not.toEqual(before.details);
    const undone = await cli('log', '--corrects', json.entry.id, '--void', '--why', 'another unit');
    expect(undone.exit).toBe(0);
    const after = (await cli('units', 'show', one)).json;
    expect(after.unit).toEqual(before);
    expect(after.sites).toMatchObject([{ site: 'Alder Farm', until: null }]);
    expect((await cli('sites', 'show', 'Birch Yard')).json.before).toEqual([]);
    expect((await cli('record', 'check')).json.verdict).toBe('intact');
  });

  test('a site that is not known is never taken silently, nor is one of nearly the same name', async () => {
    const before = rows().length;
    const near = await cli('units', 'move', one, '--to', 'Birch Yrad');
    expect([near.exit, near.json.error.code]).toEqual([2, 'site-unknown']);
    expect(near.json.error.next).toBe('Did you mean Birch Yard? If it is a new site, add --new-site.');
    const far = await cli('units', 'move', one, '--to', 'Mill Acre');
    expect(far.json.error).toMatchObject({
      code: 'site-unknown',
      next: 'If it is a new site, add --new-site.',
    });
    const known = await cli('units', 'move', one, '--to', 'BIRCH YARD', '--new-site');
    expect([known.exit, known.json.error.code]).toEqual([2, 'site-known']);
    expect((await cli('units', 'move', one, '--to', ' ', '--new-site')).json.error.code).toBe('text-unfit');
    expect(rows()).toHaveLength(before);

    const isNew = await cli(
      ...['units', 'move', one, '--to', 'Birch Yrad', '--new-site', '--address', 'Lane 9', '--role', 'x'],
    );
    expect(isNew.json).toMatchObject({
      to: 'Birch Yrad',
      newSite: true,
      findings: [{ code: 'site-name-near' }],
    });
    expect(isNew.json.unit.details).toEqual({ role: 'x', address: 'Lane 9', notes: 'behind the barn' });
  });

  test('a unit that is added at a site of nearly the same name is added, and that is said', async () => {
    const add = (site: string) => cli('units', 'add', pumpSerial(8), '--site', site);
    expect((await add('Birch Yrad')).json).toMatchObject({
      added: 1,
      findings: [{ code: 'site-name-near', expected: 'Birch Yard', severity: 'warn' }],
    });
    expect((await add('birch yard')).json.findings).toMatchObject([
      { seen: 'birch yard', expected: 'Birch Yard' },
    ]);
    expect((await add('Mill Acre')).json.findings).toEqual([]);
    expect((await add('Birch Yard')).json.findings).toEqual([]);
    const { stdout } = await people(60, 'units', 'add', pumpSerial(8), '--site', 'Alder Frm');
    expect(stdout.replace(/\s+/g, ' ')).toContain(
      'slotproof sites change "Alder Frm" --name "Alder Farm" --merge',
    );
    expect(stdout.trim().split('\n').at(-1)).toMatch(/^TRB.* changed: /);
  });

  test('what cannot be: an unknown or retired unit, a time to come, the site where it stands, an empty text', async () => {
    const before = rows().length;
    const code = async (...args: string[]) => {
      const { exit, json } = await cli('units', 'move', ...args);
      return [exit, json.error?.code];
    };
    expect(await code(pumpSerial(9), '--to', 'Birch Yard')).toEqual([2, 'unit-unknown']);
    expect(await code(one, '--to', 'Birch Yard', '--at', '2027-01-01')).toEqual([2, 'time-future']);
    expect(await code(one, '--to', 'Birch Yard', '--why', '')).toEqual([2, 'text-unfit']);
    expect(await code(one)).toEqual([2, 'answer-missing']);
    expect(await code(one, '--to', 'Alder Farm', '--role', 'spare')).toEqual([2, 'not-moved']);
    const never = await cli('units', 'move', one, '--to', 'Birch Yard', '--at', 'never');
    expect(never.json.error).toMatchObject({
      code: 'time-form',
      next: expect.stringContaining('Give the time at which the unit was moved;'),
    });
    expect(await code(one, '--to', 'alder farm')).toEqual([0, undefined]);
    expect(rows()).toHaveLength(before);
    await cli('units', 'retire', one);
    expect(await code(one, '--to', 'Birch Yard')).toEqual([2, 'unit-retired']);
  });

  test('a move that was claimed before a later one is kept, and said not to be the newest', async () => {
    await cli('units', 'move', one, '--to', 'Birch Yard', '--role', 'x', '--at', '2026-11-23T10:00');
    const late = await cli(
      ...['units', 'move', one, '--to', 'Mill Acre', '--new-site', '--role', 'x', '--at', '2026-11-22T10:00'],
    );
    expect(late.json).toMatchObject({ unit: { site: 'Birch Yard' }, findings: [{ code: 'later-entry' }] });
    expect((await cli('units', 'show', one)).json.sites.map(({ site }: { site: string }) => site)).toEqual([
      'Alder Farm',
      'Mill Acre',
      'Birch Yard',
    ]);
  });

  test('a move before the unit was registered at its site at all would count for nothing: refused', async () => {
    const before = rows().length;
    const { exit, json } = await cli('units', 'move', one, '--to', 'Birch Yard', '--at', '2026-10-20');
    expect([exit, json.error.code, rows().length]).toEqual([2, 'before-registered', before]);
  });

  test('at a terminal: near names, a new site, or none of these', async () => {
    const asked = async (answers: readonly ScriptedAnswer[]) => {
      const person = scriptedPerson(workspace.path, answers);
      const options = { to: 'Birch Yrad', role: 'x' };
      await move(person.context, [one], options).finally(person.close);
      person.requireAllAsked();
      return rows().at(-1)?.body.site;
    };
    const who: ScriptedAnswer = ['Who is working', 'R. Quill'];
    await expect(asked([['Which site', 'none of these']])).rejects.toMatchObject({
      facts: { code: 'site-unknown' },
    });
    expect(await asked([['Which site', 'Birch Yard'], who])).toBe('Birch Yard');
    expect(await asked([['Which site', 'a new site, Birch Yrad'], who])).toBe('Birch Yrad');
  });
});

describe('sites list and show', () => {
  test('lists the sites with how their units stand', async () => {
    const { json } = await cli('sites', 'list');
    expect(json.sites).toMatchObject([
      { site: 'Alder Farm', units: 2, counts: { overdue: 2, due: 0 }, late: 2 },
      { site: 'Birch Yard', units: 1, counts: { overdue: 1 }, late: 1 },
    ]);
    const lines = (await people(60, 'sites', 'list')).stdout.trim().split('\n');
    expect(lines).toEqual([
      'Alder Farm: 2 units, 2 overdue',
      'Birch Yard: 1 unit, 1 overdue',
      '2 sites, 3 units.',
    ]);
    expect((await cli('sites', 'list', '--product', 'lume-2')).json.sites).toEqual([]);
  });

  test('shows a site: how to get there, its units, and those that stood there before', async () => {
    await cli('log', two, 'deferred', '--reason', 'no-time', '--left', 'running', '--at', '2026-11-20T09:00');
    await cli('units', 'move', one, '--to', 'Birch Yard', '--role', 'x', '--at', '2026-11-20T10:00');
    const { exit, json } = await cli('sites', 'show', 'alder farm');
    expect(exit).toBe(0);
    expect(json).toMatchObject({
      site: 'Alder Farm',
      address: 'Mill Lane 3',
      contact: 'Mx Reed',
      access: 'gate code',
      counts: { overdue: 1 },
      units: [{ serial: two, role: null, left: 'running', lastOutcome: { outcome: 'deferred' } }],
      before: [{ serial: one, ended: 'moved', now: 'Birch Yard', retired: false }],
      findings: [],
    });
    const { stdout } = await people(60, 'sites', 'show', 'Alder Farm');
    expect(stdout).toContain(`  ${one} until 2026-11-20; now at Birch Yard`);
    expect(stdout.trim().split('\n').at(-1)).toBe('1 unit at Alder Farm: 1 overdue.');
  });

  test('tells what its units do not agree on, and an empty site what was there', async () => {
    await cli('units', 'add', two, '--contact', 'Mx Lane');
    const differ = (await cli('sites', 'show', 'Alder Farm')).json;
    expect(differ.findings).toMatchObject([{ code: 'site-details-differ', severity: 'warn' }]);
    await cli('units', 'retire', three);
    const { json } = await cli('sites', 'show', 'Birch Yard');
    expect(json).toMatchObject({
      units: [],
      address: null,
      before: [{ serial: three, retired: true, now: null }],
    });
  });

  test('a list or a table of one site takes capitals and blanks for what they are, and offers a near name', async () => {
    const { json } = await cli('units', 'list', '--site', 'alder  FARM');
    expect(json.units.map(({ serial }: { serial: string }) => serial)).toEqual([one, two]);
    expect((await cli('units', 'export', '--site', 'ALDER FARM')).json.units).toBe(2);
    const { stdout } = await people(80, 'units', 'list', '--site', 'Aldr Farm');
    expect(stdout.trim()).toBe('No unit is registered that fits. Did you mean the site Alder Farm?');
  });

  test('a plan says how to get there and whom to call', async () => {
    const { json } = await cli('plan', '--site', 'Alder Farm', '--site', 'Birch Yard');
    expect(json.sites).toMatchObject([
      { site: 'Alder Farm', address: 'Mill Lane 3', contact: 'Mx Reed', access: 'gate code' },
      { site: 'Birch Yard', address: 'Birch 1', contact: 'Mx Lane', access: null },
    ]);
    const { stdout } = await people(80, 'plan', '--site', 'Birch Yard');
    expect(stdout).toMatch(/^Birch Yard: .*\n {2}address: Birch 1\n {2}contact: Mx Lane\n {2}TRB/m);
  });

  test('a name that fits no site: near ones are offered, exit 2', async () => {
    const { exit, json } = await cli('sites', 'show', 'Aldr Farm');
    expect([exit, json.error.code, json.error.next]).toEqual([
      2,
      'site-unknown',
      'Did you mean Alder Farm? slotproof sites list names the sites.',
    ]);
  });
});

describe('sites change', () => {
  test('says it once for all units in service, and no entry where nothing is another', async () => {
    const before = rows().length;
    const { json } = await cli('sites', 'change', 'Alder Farm', '--contact', 'Mx Lane', '--clear', 'access');
    expect(json).toMatchObject({ site: 'Alder Farm', changed: [one, two] });
    expect(
      rows()
        .slice(before)
        .map(({ kind, body }) => [kind, body]),
    ).toEqual(
      [one, two].map((serial) => ['unit-changed', { serial, details: { contact: 'Mx Lane', access: null } }]),
    );
    const again = await cli('sites', 'change', 'Alder Farm', '--contact', 'Mx Lane', '--clear', 'access');
    expect(again.json.changed).toEqual([]);
    expect(rows()).toHaveLength(before + 2);
  });

  test('a right name for all of them; a name that another site has only where both are the same', async () => {
    await cli('units', 'retire', two);
    const taken = await cli('sites', 'change', 'Alder Farm', '--name', 'birch yard');
    expect([taken.exit, taken.json.error.code]).toEqual([2, 'site-known']);
    const merged = await cli('sites', 'change', 'Alder Farm', '--name', 'birch yard', '--merge');
    expect(merged.json).toMatchObject({
      site: 'Birch Yard',
      was: 'Alder Farm',
      merged: true,
      changed: [one, two],
    });
    expect((await cli('sites', 'list')).json.sites).toMatchObject([{ site: 'Birch Yard', units: 2 }]);
    // Nobody moved: that is told.
    const { json } = await cli('units', 'show', one);
    expect(json.sites).toMatchObject([{ ended: 'put-right' }, { begun: 'put-right', site: 'Birch Yard' }]);
  });

  test('what is not clear is refused', async () => {
    const code = async (...args: string[]) =>
      (await cli('sites', 'change', 'Alder Farm', ...args)).json.error.code;
    expect(await code()).toBe('change-unclear');
    expect(await code('--contact', 'x', '--clear', 'contact')).toBe('change-unclear');
    expect((await cli('sites', 'change', 'Cedar', '--contact', 'x')).json.error.code).toBe('site-unknown');
  });
});
