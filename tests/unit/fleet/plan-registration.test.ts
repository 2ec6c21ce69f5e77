// Rows are applied the way the register applies them: planned, sealed, added up anew. An unchanged row must then
// plan nothing.
import { expect, test } from 'vitest';
import { planRegistration } from '../../../src/fleet/plan-registration.ts';
import type { Registration } from '../../../src/fleet/unit-claim.ts';
import { noPrev } from '../../../src/ports/record-rules.ts';
import type { Entry } from '../../../src/ports/record-store.ts';
import { foldUnit } from '../../../src/record/fold-unit.ts';
import { openEntry, sealEntry } from '../../../src/record/seal-entry.ts';
import { formatLocalTime } from '../../../src/words/local-time.ts';
import { day, newYear, utc } from '../../support/entries.ts';

const base: Registration = {
  serial: 'TRB00000018',
  product: 'rill-40',
  hardware: 'B',
  site: 'Alder Farm',
  details: { role: 'well pump' },
  version: { version: '4.0.0', atMs: newYear, dated: false },
};

function register() {
  const entries: Entry[] = [];
  return {
    entries,
    take(change: Partial<Registration>, atMs = newYear + 100 * day) {
      const signer = { claimedAt: formatLocalTime(atMs, utc), typedBy: 'R. Quill', zone: utc };
      const plan = planRegistration({ ...base, ...change }, foldUnit(entries), signer);
      for (const draft of plan.drafts) {
        const place = {
          laptop: 'aaaaaaaa',
          seq: entries.length + 1,
          prev: noPrev,
          writtenAt: signer.claimedAt,
        };
        entries.push(openEntry(sealEntry(draft, place))!);
      }
      return { kind: plan.kind, kinds: plan.drafts.map(({ kind }) => kind), drafts: plan.drafts };
    },
    state: () => foldUnit(entries),
  };
}

test('first added, then unchanged, however often and on whatever day', () => {
  const table = register();
  expect(table.take({})).toMatchObject({ kind: 'added', kinds: ['unit-added', 'version-seen'] });
  const later = { ...base.version!, atMs: newYear + 7 * day };
  expect(table.take({ version: later })).toMatchObject({ kind: 'unchanged', kinds: [] });
  expect(table.take({ details: {} })).toMatchObject({ kind: 'unchanged' });
  expect(table.take({ version: null })).toMatchObject({ kind: 'unchanged' });
});

test('the version is claimed at its own date, the rest now', () => {
  const { drafts } = register().take({ version: { version: '4.0.0', atMs: newYear + day, dated: true } });
  expect(drafts[0]!.claimedAt).toBe('2026-04-11T00:00:00.000+00:00');
  expect(drafts[1]).toMatchObject({ claimedAt: '2026-01-02T00:00:00.000+00:00', body: { dated: true } });
});

test('what changes is named, and nothing else', () => {
  const table = register();
  table.take({});
  const change = table.take({ site: 'Birch', details: { role: 'well pump', notes: 'behind the barn' } });
  expect(change).toMatchObject({
    kind: 'changed',
    drafts: [
      {
        kind: 'unit-changed',
        body: { serial: base.serial, site: 'Birch', details: { notes: 'behind the barn' } },
      },
    ],
  });
  expect(Object.keys(change.drafts[0]!.body).sort()).toEqual(['details', 'serial', 'site']);
  expect(table.state()).toMatchObject({
    site: 'Birch',
    details: { role: 'well pump', notes: 'behind the barn' },
  });
});

test('a new version or a new date is news; a version that a table repeats is none, whatever was read since', () => {
  const table = register();
  table.take({});
  const dated = { version: '4.0.0', atMs: newYear + 2 * day, dated: true };
  expect(table.take({ version: { ...base.version!, version: '4.2.0' } }).kinds).toEqual(['version-seen']);
  expect(table.take({ version: dated }).kinds).toEqual(['version-seen']);
  expect(table.take({ version: dated }).kinds).toEqual([]);
  expect(table.take({ version: { ...dated, atMs: newYear + 3 * day } }).kinds).toEqual(['version-seen']);
  expect(table.take({ version: { ...base.version!, version: '4.2.0' } }).kinds).toEqual([]);
});

test('a retired unit is brought back with all that was known', () => {
  const table = register();
  table.take({});
  const draft = {
    kind: 'unit-retired',
    kindVersion: 1,
    claimedAt: formatLocalTime(newYear + 101 * day, utc),
    typedBy: 'x',
    doneBy: 'x',
    body: { serial: base.serial },
  };
  table.entries.push(
    openEntry(sealEntry(draft, { laptop: 'aaaaaaaa', seq: 3, prev: noPrev, writtenAt: draft.claimedAt }))!,
  );
  expect(table.state()?.retired).toBe(true);
  expect(table.take({ details: { notes: 'repaired' } }, newYear + 102 * day)).toMatchObject({
    kind: 'added',
    kinds: ['unit-added'],
  });
  expect(table.state()).toMatchObject({ retired: false, details: { role: 'well pump', notes: 'repaired' } });
});
