// `manifests check` and `manifests schema` as a person calls them.

import {
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeEach, describe, expect, it } from 'vitest';
import { makeDemoWorkspace } from '../support/demo-workspace.ts';
import { demoManifestFolder } from '../support/demo-world.ts';
import { runCli } from '../support/run-cli.ts';

const made: string[] = [];
afterAll(() => {
  for (const one of made) rmSync(one, { recursive: true, force: true });
});

let folder = '';
let workspace = '';
beforeEach(() => {
  ({ folder, workspace } = makeDemoWorkspace());
  made.push(folder);
});

const check = (...args: string[]) => runCli(['manifests', 'check', ...args, '--json'], { workspace });
const told = (json: any) => json.findings.map(({ code, where }: any) => `${code} ${where.split('/').at(-1)}`);
const tarnholt = (name: string) => join(workspace, 'manifests', 'tarnholt', name);
const edit = (name: string, from: string, to: string) => {
  const text = readFileSync(tarnholt(name), 'utf8');
  expect(text).toContain(from);
  writeFileSync(tarnholt(name), text.replace(from, to));
};

describe('sound manifests', () => {
  it('of the workspace', async () => {
    const { exit, json } = await check();
    expect(exit).toBe(0);
    expect(json).toMatchObject({
      command: 'manifests check',
      verdict: 'sound',
      findings: [],
      files: 13,
      products: 3,
      releases: 10,
      statement: 'checked for gaps; not a safety approval',
    });
  });

  it('told to people: what was looked at of each product, the verdict last, with what the check is not', async () => {
    const { stdout } = await runCli(['manifests', 'check'], { workspace, columns: 200 });
    const lines = stdout.trimEnd().split('\n');
    expect(lines.at(-1)).toBe(
      'sound: 13 manifests; 0 stops, 0 warnings; 3 products, 10 releases; checked for gaps; not a safety approval',
    );
    for (const product of ['hearth-90', 'kerb-22', 'weir-18']) {
      expect(lines.filter((line) => line.startsWith(`${product}: Tarnholt `))).toHaveLength(1);
    }
    expect(
      lines.filter((line) => line === '  This was checked for gaps; not a safety approval.'),
    ).toHaveLength(3);
    expect(stdout).toMatch(/Shortest way: \d+ minutes, \d+ steps, to `not-begun`. Longest way: \d+ minutes/);
    expect(stdout).toContain('`left-writing` ends as failed and leaves the motor isolated, the card in.');
  });

  it('what was looked at as JSON, of the products asked about alone', async () => {
    const { json } = await check(tarnholt('kerb-22.yaml'));
    expect(json.gapChecks).toHaveLength(1);
    const [gaps] = json.gapChecks;
    expect(gaps).toMatchObject({
      product: 'kerb-22',
      complete: true,
      statement: 'checked for gaps; not a safety approval',
    });
    expect(gaps.states).toBeGreaterThan(10);
    expect(gaps.shortest.minutes).toBeLessThan(gaps.longest.minutes);
    expect(gaps.longest.path.at(-1)).toBe('locked-off');
    expect(gaps.ends.find(({ step }: any) => step === 'left-writing')).toEqual({
      step: 'left-writing',
      kind: 'failed',
      leaves: { bay: 'blocked', service: 'out', plug: 'pulled', card: 'in', breaker: 'on' },
      unlikeEnds: ['bay', 'service', 'plug', 'card'],
    });
    expect((await check(tarnholt('kerb-22-126.yaml'))).json.gapChecks).toEqual([]);
  });

  it('nothing is said of a procedure that is not sound', async () => {
    edit('kerb-22.yaml', 'needs: { bay: blocked }', 'needs: { bay: free }');
    const { exit, json } = await check();
    expect([exit, json.gapChecks.map(({ product }: any) => product)]).toEqual([3, ['hearth-90', 'weir-18']]);
  });

  it('named as files or folders; the project ships its own so', async () => {
    expect((await check(demoManifestFolder)).json).toMatchObject({ verdict: 'sound', files: 13 });
    expect((await check(tarnholt('weir-18.yaml'), tarnholt('kerb-22.yaml'))).json).toMatchObject({
      files: 2,
      products: 2,
    });
    const shipped = fileURLToPath(new URL('../../manifests', import.meta.url));
    expect((await check(shipped)).json).toMatchObject({ verdict: 'sound', files: 13 });
  });

  it('a release by itself finds its product in the workspace', async () => {
    const draft = join(folder, 'draft.yml');
    writeFileSync(
      draft,
      readFileSync(tarnholt('kerb-22-126.yaml'), 'utf8')
        .replace('126', '130')
        .replace('sequence: 24', 'sequence: 30'),
    );
    expect((await check(draft)).json).toMatchObject({ verdict: 'sound', files: 1, releases: 1, products: 0 });
    // The same release in a new form takes the place of the one in the workspace while it is judged.
    writeFileSync(draft, `${readFileSync(tarnholt('kerb-22-126.yaml'), 'utf8')}resets: [tariff]\n`);
    expect((await check(draft)).json).toMatchObject({ verdict: 'sound', findings: [] });
    const empty = mkdtempSync(join(tmpdir(), 'slotproof-empty-'));
    made.push(empty);
    const alone = await runCli(['manifests', 'check', draft, '--json'], { workspace: empty });
    expect([alone.exit, told(alone.json)]).toEqual([3, ['unknown-name draft.yml:3:10']]);
  });

  it('judges faults of the workspace against a draft, but tells those of the draft alone', async () => {
    edit('hearth-90.yaml', 'maker: Tarnholt', 'maker: [x]');
    const draft = join(folder, 'draft.json');
    writeFileSync(draft, JSON.stringify({ manifest: 'release' }));
    const { json } = await check(draft);
    expect(new Set(json.findings.map(({ where }: any) => where.replace(/:\d+:\d+$/, '')))).toEqual(
      new Set([draft]),
    );
  });
});

describe('unsound manifests', () => {
  it('are told with file, line and column, stops last, exit 3', async () => {
    edit('weir-18.yaml', 'revision: 2', 'revison: 2');
    edit('weir-18.yaml', 'checkedBy: J. Marl', 'checkedBy: O. Fenwright');
    edit('kerb-22-118.yaml', 'sequence: 21', 'sequence: 22');
    edit('hearth-90.yaml', 'checkedBy: O. Fenwright', 'checkedBy: J. Marl');
    const { exit, json } = await check();
    expect(exit).toBe(3);
    expect(json.verdict).toBe('unsound');
    expect(told(json)).toEqual([
      'not-second-checked hearth-90.yaml:11:12',
      'unknown-key weir-18.yaml:9:1',
      'sequence-twice kerb-22-121.yaml:5:11',
      'product-unsound weir-18-2025-05-19.yaml:3:10',
      'product-unsound weir-18-2026-01-28.yaml:3:10',
      'product-unsound weir-18-2026-10-05.yaml:3:10',
    ]);
    for (const finding of json.findings) {
      expect(Object.keys(finding)).toEqual(
        expect.arrayContaining(['code', 'severity', 'summary', 'where', 'next']),
      );
      expect(finding.where.startsWith('/')).toBe(true);
    }
  });

  it('a gap in a procedure is told by the check for gaps, at the place in the file', async () => {
    edit('kerb-22.yaml', 'whileBusy: { card: in, service: out, breaker: on }', 'whileBusy: { card: out }');
    const { exit, json } = await check(tarnholt('kerb-22.yaml'));
    expect(exit).toBe(3);
    expect(told(json).some((line: string) => /^busy-broken kerb-22\.yaml:\d+:\d+$/.test(line))).toBe(true);
    // And what is unsound is not used by any other command.
    const verify = await runCli(['verify', tarnholt('kerb-22.yaml')], { workspace });
    expect(verify.stderr).toContain('not sound');
  });

  it('one bad file never hides the others', async () => {
    writeFileSync(tarnholt('a-bad.yaml'), '\u0000\u0001[[[');
    writeFileSync(tarnholt('b-bad.json'), '{"manifest": "product",}');
    writeFileSync(tarnholt('c-bad.yml'), new Uint8Array([0xc3, 0x28]));
    writeFileSync(tarnholt('d-bad.yaml'), 'x'.repeat(300_000));
    writeFileSync(tarnholt('e-bad.yaml'), '');
    mkdirSync(tarnholt('f-folder.yaml'));
    writeFileSync(tarnholt('notes.txt'), 'not looked at');
    const { exit, json } = await check();
    expect(exit).toBe(3);
    expect([...new Set(told(json).map((line: string) => line.split(' ')[1]!.split(':')[0]))].sort()).toEqual([
      'a-bad.yaml',
      'b-bad.json',
      'c-bad.yml',
      'd-bad.yaml',
      'e-bad.yaml',
    ]);
    expect(json).toMatchObject({ products: 3, releases: 10 });
  });

  it('told to people: each finding with its next step, the verdict last', async () => {
    edit('hearth-90.yaml', 'versions: dotted', 'versions: dottet');
    const { stdout } = await runCli(['manifests', 'check'], { workspace });
    expect(stdout).toContain('expected: one of: dotted, date, integer');
    expect(stdout.trimEnd().split('\n').at(-1)).toMatch(/^unsound: 13 manifests; 5 stops/);
  });
});

describe('wrong use', () => {
  it('a path that is not there', async () => {
    const { exit, json } = await check(join(folder, 'none.yaml'));
    expect([exit, json.error.code]).toEqual([2, 'file-absent']);
  });

  it('a workspace or a folder without manifests', async () => {
    const empty = join(folder, 'empty');
    mkdirSync(empty);
    expect((await check(empty)).json.error.code).toBe('no-manifests');
    const { exit, json } = await runCli(['manifests', 'check', '--json'], {
      workspace: join(folder, 'nowhere'),
    });
    expect([exit, json.error.code]).toEqual([2, 'no-manifests']);
  });
});

it('folders that lead in a circle come to an end', async () => {
  symlinkSync(workspace, join(workspace, 'manifests', 'circle'));
  expect((await check()).json.verdict).toBe('sound');
});

describe('manifests schema', () => {
  it('prints both schemas', async () => {
    const { exit, stdout, json } = await runCli(['manifests', 'schema', '--json'], { workspace });
    expect(exit).toBe(0);
    expect(Object.keys(json.schemas)).toEqual(['product', 'release']);
    expect(json.schemas.product.$schema).toContain('2020-12');
    expect(stdout.length).toBeGreaterThan(1000);
    expect(JSON.parse((await runCli(['manifests', 'schema'], { workspace })).stdout)).toEqual(json.schemas);
  });

  it('writes them to a folder, as they are published', async () => {
    const out = join(folder, 'new', 'schema');
    const { json } = await runCli(['manifests', 'schema', '--out', out, '--json'], { workspace });
    expect(json.files).toEqual([join(out, 'product.schema.json'), join(out, 'release.schema.json')]);
    expect(readdirSync(out)).toEqual(['product.schema.json', 'release.schema.json']);
    for (const name of readdirSync(out)) {
      const published = new URL(`../../manifests/schema/${name}`, import.meta.url);
      expect(readFileSync(join(out, name), 'utf8')).toBe(readFileSync(published, 'utf8'));
    }
  });
});
