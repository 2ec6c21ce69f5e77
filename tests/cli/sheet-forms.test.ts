// `sheet --format html|pdf`, `--paper` and `--slip` as a person calls them, with the demo maker's products: where
// each file goes, what is kept, and that a refusal leaves nothing.

import {
  copyFileSync,
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import { codeOnPage, pdfInfo, pdfText } from '../support/pdf-pages.ts';
import { runCli } from '../support/run-cli.ts';
import type { Written } from '../unit/procedure/written-product.ts';
import { markupComplaints, readPage, seenText, stepsInPage } from '../unit/sheet/html/markup-judge.ts';
import {
  frontComplaints,
  plainWords,
  resultComplaints,
  stepComplaints,
  stepsOnPages,
} from '../unit/sheet/printed-judge.ts';

const shipped = fileURLToPath(new URL('../../manifests/tarnholt', import.meta.url));
let home: string;
let workspace: string;
beforeAll(() => {
  home = mkdtempSync(join(tmpdir(), 'sheet-forms-'));
});
afterAll(() => rmSync(home, { recursive: true, force: true }));

let count = 0;
beforeEach(() => {
  count += 1;
  workspace = join(home, `w${count}`);
  mkdirSync(join(workspace, 'manifests'), { recursive: true });
  for (const name of readdirSync(shipped))
    copyFileSync(join(shipped, name), join(workspace, 'manifests', name));
});

const call = (...args: string[]) => runCli(args, { workspace });
const sheets = () =>
  existsSync(join(workspace, 'sheets')) ? readdirSync(join(workspace, 'sheets')).sort() : [];
const written = (name: string) => parse(readFileSync(join(shipped, name), 'utf8')) as Written;

/** Of the product's manifest and of its release of highest sequence that is not withdrawn. */
const products = [
  { id: 'hearth-90', release: 'hearth-90-2.6.0.yaml', pages: 5 },
  { id: 'kerb-22', release: 'kerb-22-126.yaml', pages: 4 },
  { id: 'weir-18', release: 'weir-18-2026-10-05.yaml', pages: 4 },
];

describe.each(products)('$id', ({ id, release, pages: pageCount }) => {
  const product = written(`${id}.yaml`);
  const { version, resets = [] } = written(release) as { version: unknown; resets?: string[] };
  const expected = { product, resets, version: String(version) };
  const judge = (words: string, steps: ReadonlyMap<number, string>) => [
    ...frontComplaints(words, expected),
    ...stepComplaints(steps, expected),
    ...resultComplaints(words, expected),
  ];

  test('as PDF, whole, on so many pages', async () => {
    const { exit, json } = await call('sheet', id, '--format', 'pdf', '--json');
    expect(exit).toBe(0);
    const bytes = readFileSync(json.path);
    expect(pdfInfo(bytes)).toMatch(new RegExp(`^Pages: +${pageCount}$`, 'm'));
    const pages = pdfText(bytes);
    expect(judge(plainWords(pages.join(' ')), stepsOnPages(pages))).toEqual([]);
    expect(codeOnPage(bytes)).toBe(`slotproof-sheet ${json.sheet} ${json.release}`);
  });

  test('as HTML, whole', async () => {
    const { exit, json } = await call('sheet', id, '--format', 'html', '--json');
    expect(exit).toBe(0);
    const html = readFileSync(json.path, 'utf8');
    const { root } = readPage(html);
    expect(markupComplaints(html)).toEqual([]);
    expect(judge(plainWords(seenText(root)), stepsInPage(root))).toEqual([]);
  });
});

describe('where it goes', () => {
  test('kept under its number beside what its rows are logged by, for the user alone', async () => {
    const { json, stdout } = await call('sheet', 'kerb-22', '--format', 'pdf', '--slip', '--json');
    expect(stdout.trimEnd().split('\n')).toHaveLength(1);
    const { sheet } = json;
    expect(sheets()).toEqual([`${sheet}-slip.pdf`, `${sheet}.json`, `${sheet}.pdf`]);
    expect(json).toMatchObject({
      command: 'sheet',
      format: 'pdf',
      path: join(workspace, 'sheets', `${sheet}.pdf`),
      keptAt: join(workspace, 'sheets', `${sheet}.pdf`),
      slip: join(workspace, 'sheets', `${sheet}-slip.pdf`),
    });
    for (const name of sheets()) expect(statSync(join(workspace, 'sheets', name)).mode & 0o077).toBe(0);
    expect(readFileSync(json.path).subarray(0, 5).toString()).toBe('%PDF-');
    expect(pdfText(readFileSync(json.slip)).join(' ')).toContain(`Slip to sheet ${sheet}`);
    const facts = JSON.parse(readFileSync(join(workspace, 'sheets', `${sheet}.json`), 'utf8'));
    expect(facts).toMatchObject({ sheet, release: 'kerb-22@126' });
  });

  test('and where --out says, its ending telling the form; the slip beside it', async () => {
    const out = join(home, `visit-${count}.pdf`);
    const result = await call('sheet', 'kerb-22', '--out', out, '--slip');
    expect(result.exit).toBe(0);
    expect(result.stdout).toContain(`: ${out}\nSlip for the customer: ${out.replace('.pdf', '-slip.pdf')}`);
    expect(readFileSync(out).subarray(0, 5).toString()).toBe('%PDF-');
    expect(existsSync(out.replace('.pdf', '-slip.pdf'))).toBe(true);
    const page = join(home, `visit-${count}.HTML`);
    expect((await call('sheet', 'kerb-22', '--out', page)).exit).toBe(0);
    expect(readFileSync(page, 'utf8')).toMatch(/^<!doctype html>/);
    // Said is said, whatever the name looks like.
    const odd = join(home, `odd-${count}.html`);
    expect((await call('sheet', 'kerb-22', '--out', odd, '--format', 'text')).exit).toBe(0);
    expect(readFileSync(odd, 'utf8')).toMatch(/^SHEET /);
  });

  test('text has a slip too, and shows the sheet on the screen; the others only say where they lie', async () => {
    const text = await call('sheet', 'kerb-22', '--slip');
    expect(text.stdout).toMatch(/^SHEET /);
    const [slip] = sheets().filter((name) => name.endsWith('-slip.txt'));
    expect(readFileSync(join(workspace, 'sheets', slip!), 'utf8')).toMatch(/^FOR THE CUSTOMER/);
    const html = await call('sheet', 'kerb-22', '--format', 'html');
    expect(html.stdout.trimEnd().split('\n')).toHaveLength(1);
  });

  test('Letter where it is asked for; A4 else', async () => {
    const size = async (...args: string[]) =>
      pdfInfo(readFileSync((await call('sheet', 'kerb-22', '--format', 'pdf', '--json', ...args)).json.path));
    expect(await size()).toContain('(A4)');
    expect(await size('--paper', 'letter')).toContain('(letter)');
    const html = (await call('sheet', 'kerb-22', '--format', 'html', '--paper', 'letter', '--json')).json;
    expect(readFileSync(html.path, 'utf8')).toContain('size: letter portrait');
  });
});

describe('refused', () => {
  const refused = async (...args: string[]) => {
    const { exit, json } = await call('sheet', 'kerb-22', '--json', ...args);
    return { exit, code: json.error?.code };
  };

  test('a file that is there already, as sheet or as slip', async () => {
    const out = join(home, `there-${count}.pdf`);
    writeFileSync(out.replace('.pdf', '-slip.pdf'), 'mine');
    expect(await refused('--out', out, '--slip')).toEqual({ exit: 2, code: 'file-exists' });
    expect(readFileSync(out.replace('.pdf', '-slip.pdf'), 'utf8')).toBe('mine');
    expect(existsSync(out)).toBe(false);
    expect(sheets()).toEqual([]);
  });

  test('a paper that nobody sells', async () => {
    expect((await call('sheet', 'kerb-22', '--format', 'pdf', '--paper', 'a3')).exit).toBe(2);
    expect(sheets()).toEqual([]);
  });

  test('letters that the PDF has not: nothing is made; the page for a browser has them', async () => {
    const name = join(workspace, 'manifests', 'kerb-22.yaml');
    writeFileSync(
      name,
      readFileSync(name, 'utf8').replace('name: Kerb 22 charger', 'name: "Kerb 22 充电桩"'),
    );
    expect(await refused('--format', 'pdf')).toEqual({ exit: 2, code: 'letters-missing' });
    expect(sheets()).toEqual([]);
    const { json } = await call('sheet', 'kerb-22', '--format', 'html', '--json');
    expect(readFileSync(json.path, 'utf8')).toContain('Kerb 22 充电桩');
  });
});
