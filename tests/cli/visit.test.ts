// `visit` with answers from a file: every end of every demonstration procedure, as a person would walk to it.

import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { type VisitWorkspace, visitStartMs, visitWorkspace } from '../support/visit-workspace.ts';
import { scriptFor, timed, walkCases } from '../support/walk-script.ts';

const scripts = walkCases.map(scriptFor);
const ways = scripts.flatMap((script) =>
  script.ways().map((way) => [script.case.product, way.end, script, way] as const),
);

test('the ways lead to every end that the manifests have', () => {
  const ends = scripts.flatMap(({ written }) => written.procedure.filter(({ end }) => end !== undefined));
  expect(ways).toHaveLength(ends.length);
  expect(new Set(ways.map(([, , , { kind }]) => kind))).toEqual(new Set(['updated', 'failed', 'deferred']));
});

describe('to every end', () => {
  test.each(ways)('%s: %s', async (_product, _end, script, way) => {
    const at = await visitWorkspace();
    try {
      const key = `${script.case.product}@${script.case.release}`;
      await at.card('C-7', key);
      const { exit, json, stderr } = await at.visit(
        script.case.serial,
        timed(way.lines, visitStartMs()),
        '--by',
        'T. Wren',
      );
      expect(json.error, stderr).toBeUndefined();
      expect(exit).toBe(0);
      expect(json).toMatchObject({
        command: 'visit',
        serial: script.case.serial,
        release: key,
        outcome: way.kind,
        path: way.path,
        left: way.kind === 'updated' ? 'running' : 'locked-off',
      });
      const read = way.lines.findLast((line) => line.version !== undefined && line.step !== undefined);
      const lit = way.lines.some((line) => line.lights !== undefined);
      expect(json.evidence).toBe(read !== undefined ? 'read' : lit ? 'lights' : 'reported');
      if (way.kind === 'updated') expect(json.status).toBe(read === undefined ? 'to-confirm' : 'current');
      if (way.kind === 'failed') expect(json.status).toBe('failed');

      const entries = await at.entries();
      const outcome = entries.find(({ kind }) => kind === 'outcome')!;
      expect(outcome).toMatchObject({
        id: json.entry.id,
        hash: json.entry.hash,
        typedBy: 'R. Quill',
        doneBy: 'T. Wren',
        body: {
          outcome: way.kind,
          release: key,
          versionBefore: script.case.before,
          card: 'C-7',
          told: 'M. Alder',
        },
      });
      const visit = entries.filter(({ kind }) => kind === 'visit-begun');
      expect(visit).toHaveLength(1);
      const steps = entries.filter((entry) => entry.kind === 'step-done');
      expect(steps.every(({ body }) => body.visit === visit[0]!.id)).toBe(true);
      expect(
        steps
          .filter(({ body }) => body.part === 'procedure' && body.result !== 'no-tries-left')
          .map(({ body }) => body.step),
      ).toEqual(way.path.slice(0, -1));
      expect(entries.at(-1)).toMatchObject({
        kind: 'visit-ended',
        body: { visit: visit[0]!.id, outcome: way.kind, by: 'procedure', positions: way.leaves },
      });
      const check = await at.run('record', 'check', '--json');
      expect([check.exit, check.json.verdict]).toEqual([0, 'intact']);
      const shown = await at.run('units', 'show', script.case.serial);
      expect(shown.stdout).toContain(way.kind);
    } finally {
      at.remove();
    }
  });
});

describe('the text', () => {
  let at: VisitWorkspace;
  beforeAll(async () => {
    at = await visitWorkspace();
  });
  afterAll(() => at.remove());
  test('says what was logged and how the unit stands', async () => {
    const script = scripts[0]!;
    await at.card('C-7', 'hearth-90@2.6.0');
    const way = script.ways().find(({ kind }) => kind === 'updated')!;
    const lines = timed(way.lines, visitStartMs()).map((line) =>
      line.ask === 'restored'
        ? { ...line, values: { 'inverter address': true, 'charge limit': false, 'reserve for backup': true } }
        : line,
    );
    const { writeFileSync } = await import('node:fs');
    writeFileSync(`${at.folder}/walk.jsonl`, lines.map((line) => JSON.stringify(line)).join('\n'));
    const { exit, stdout } = await at.run(
      'visit',
      script.case.serial,
      '--answers',
      `${at.folder}/walk.jsonl`,
      '--as',
      'R. Quill',
    );
    expect(exit).toBe(0);
    expect(stdout).toMatch(/^Updated\.\n/);
    expect(stdout).toContain('Not restored: charge limit.');
    expect(stdout).toMatch(/Logged as \S+: TB8120000586 updated \(hearth-90@2\.6\.0\), known by\s+read\./);
    expect(stdout).toContain('Status: current');
    const outcome = (await at.entries()).find(({ kind }) => kind === 'outcome')!;
    expect(outcome.body).toMatchObject({ note: 'Not restored: charge limit.' });
  });
});
