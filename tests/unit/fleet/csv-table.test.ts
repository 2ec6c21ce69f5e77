import { describe, expect, test } from 'vitest';
import { readCsvTable } from '../../../src/fleet/csv-table.ts';
import { Failure } from '../../../src/words/failure.ts';
import { laterFailureOf } from '../../support/failure-of.ts';

const request = { path: '/t.csv', required: ['serial', 'site'], optional: ['notes'] };
const bytes = (text: string) => new TextEncoder().encode(text);
const read = (text: string, more: object = {}) => readCsvTable([bytes(text)], { ...request, ...more });

async function failure(text: string | Uint8Array, more: object = {}): Promise<Failure['facts']> {
  try {
    await readCsvTable([typeof text === 'string' ? bytes(text) : text], { ...request, ...more });
  } catch (error) {
    if (error instanceof Failure) return error.facts;
    throw error;
  }
  throw new Error('no failure');
}

test.each([
  ['comma', 'serial,site\nA,x\n'],
  ['semicolon', 'serial;site\nA;x\n'],
  ['tab', 'serial\tsite\nA\tx\n'],
  ['a byte order mark', '\ufeffserial,site\nA,x\n'],
  ['a mark and quotes', '\ufeff"serial","site"\n"A","x"\n'],
  ['the separator named by a spreadsheet', 'sep=;\r\nserial;site\r\nA;x\r\n'],
  ['carriage returns', 'serial,site\r\nA,x\r\n'],
  ['carriage returns alone', 'serial,site\rA,x\r'],
  ['no line end at the end', 'serial,site\nA,x'],
  ['other capitals and blanks', ' Serial , SITE \n A , x \n'],
  ['another order and an empty column', 'site,serial,\nx,A,\n'],
  ['empty lines before, between and after', '\n\nserial,site\n\nA,x\n,\n  \n\n'],
])('read: %s', async (_name, text) => {
  const { rows, faults } = await read(text);
  expect(rows.map(({ fields }) => fields)).toEqual([{ serial: 'A', site: 'x' }]);
  expect(faults).toEqual([]);
});

test('cells with separators, quotes and line ends; each row with the line that it begins on', async () => {
  const { rows, faults } = await read(
    'serial,site,notes\r\nA,"x, y","said ""yes"""\r\nB,x,"two\r\nlines"\r\nC,5" pipe,\r\nD,x\r\nE,x,n,\r\nF,x,n,more\r\nG,x,n\r\n',
  );
  expect(rows).toEqual([
    { line: 2, fields: { serial: 'A', site: 'x, y', notes: 'said "yes"' } },
    { line: 3, fields: { serial: 'B', site: 'x', notes: 'two\nlines' } },
    { line: 5, fields: { serial: 'C', site: '5" pipe', notes: '' } },
    { line: 7, fields: { serial: 'E', site: 'x', notes: 'n' } },
    { line: 9, fields: { serial: 'G', site: 'x', notes: 'n' } },
  ]);
  expect(faults.map(({ line, code }) => [line, code])).toEqual([
    [6, 'row-length'],
    [8, 'row-length'],
  ]);
});

test('columns that no field takes are told; fields without a column are absent', async () => {
  const table = await read('serial,colour,site\nA,red,x\n');
  expect(table.ignored).toEqual(['colour']);
  expect(table.present).toEqual(['serial', 'site']);
  expect(table.rows[0]!.fields).not.toHaveProperty('notes');
});

test('a field can be mapped to a column of another name', async () => {
  const map = new Map([
    ['serial', 'Serial no.'],
    ['notes', 'colour'],
  ]);
  const table = await read('Serial no.,site,colour,serial\nA,x,red,other\n', { map });
  expect(table.rows[0]!.fields).toEqual({ serial: 'A', site: 'x', notes: 'red' });
  expect(table.ignored).toEqual(['serial']);
});

test('a header alone is an empty table', async () => {
  expect((await read('serial,site\n')).rows).toEqual([]);
});

test.each([
  ['nothing', '', 'table-empty'],
  ['blank lines', '\n \n', 'table-empty'],
  ['a missing column', 'serial,place\nA,x\n', 'column-missing'],
  ['a column twice', 'serial,site,Site\nA,x,y\n', 'column-twice'],
  ['a quote that never ends', 'serial,site\nA,"x\nB,y\n', 'table-quote'],
  ['a quote that swallows a long rest', `serial,site\nA,"x\n${'B,y\n'.repeat(40_000)}`, 'table-quote'],
  ['too many columns', `serial,site${',c'.repeat(300)}\n`, 'table-form'],
  ['NUL characters', 'serial,site\nA,\0\n', 'table-not-text'],
])('refused as a whole: %s', async (_name, text, code) => {
  expect(await failure(text)).toMatchObject({ code, exit: 2 });
});

test('refused as a whole: other encodings, too many rows, a column mapped that is not there', async () => {
  expect((await failure(new Uint8Array([0x73, 0xe9, 0x72]))).code).toBe('table-encoding');
  // Half a letter at the end.
  expect(await failure(new Uint8Array([0xff, 0xfe, 0x73, 0, 0x73]))).toMatchObject({
    code: 'table-encoding',
  });
  expect(await failure(new Uint8Array([0x73, 0, 0x72, 0x65]))).toMatchObject({ code: 'table-not-text' });
  expect((await failure('serial,site\nA,x\nB,x\nC,x\n', { maxRows: 2 })).code).toBe('table-too-long');
  expect((await failure('serial,site\nA,x\n', { map: new Map([['notes', 'remarks']]) })).code).toBe(
    'column-missing',
  );
});

test('a slip in a column name is offered as --map', async () => {
  expect((await failure('sreial,site\nA,x\n')).next).toContain('--map serial="sreial"');
});

test('a column that --map names wrongly: the field stays, the columns that are there are listed', async () => {
  expect(await failure('serial,Ort\nA,x\n', { map: new Map([['site', 'zz']]) })).toMatchObject({
    code: 'column-missing',
    summary: 'The table has no column zz.',
    seen: 'the columns serial, Ort',
    next: 'Name the column that holds it: --map site=COLUMN.',
  });
  const near = await failure('serial,Place\nA,x\n', { map: new Map([['site', 'plcae']]) });
  expect(near.next).toBe('Name the column that holds it: --map site="Place".');
  const many = await failure(Array.from({ length: 40 }, (_, at) => `c${at}`).join(','));
  expect(many.seen).toMatch(/^the columns c0, .*, c11 and 28 more$/);
});

test('an empty table says which columns it may have, where it needs none of them by name', async () => {
  expect((await failure('')).expected).toBe('a header: serial,site');
  expect((await failure('', { required: [], optional: ['site', 'date'] })).expected).toBe(
    'a header with some of these columns: site, date',
  );
});

describe('bytes that are no UTF-8 are told with their line, wherever the pieces of the file end', () => {
  const rows = (count: number, end = '\n') => `Größe,Straße${end}`.repeat(count);
  const wrong = (before: string, after: string) =>
    new Uint8Array(Buffer.concat([Buffer.from(before), Buffer.from([0xe9]), Buffer.from(after)]));

  test.each([
    ['line feeds', '\n'],
    ['carriage returns with line feeds', '\r\n'],
    ['carriage returns', '\r'],
  ])('%s', async (_name, end) => {
    const bytes = wrong(`serial,site${end}${rows(3, end)}H`, `lle,x${end}`);
    for (let cut = 1; cut < bytes.length; cut++) {
      const pieces = [bytes.slice(0, cut), bytes.slice(cut)];
      const error = await laterFailureOf(() => readCsvTable(pieces, request));
      expect(error, `cut at ${cut}`).toMatchObject({
        code: 'table-encoding',
        where: expect.stringMatching(/:5$/),
        seen: expect.stringContaining('byte E9'),
      });
    }
  });

  test('far behind the beginning, and cut off at the end', async () => {
    const far = wrong(`serial,site\n${rows(150_000)}`, '\n');
    const chunks = Array.from({ length: 3 }, (_, at) => far.slice(at * 2 ** 20, (at + 1) * 2 ** 20));
    const path = `${request.path}:150002`;
    expect(await laterFailureOf(() => readCsvTable(chunks, request))).toMatchObject({ where: path });
    const cut = new Uint8Array(Buffer.from('serial,site\nA,Größ')).slice(0, -1);
    expect(await laterFailureOf(() => readCsvTable([cut], request))).toMatchObject({
      where: `${request.path}:2`,
      seen: 'a letter that is cut off at the end',
    });
  });
});

test('hostile column names are made fit to print', async () => {
  expect(JSON.stringify(await failure('\u001b[31m,site\nA,x\n'))).not.toContain('\\u001b');
});

const utf16 = (text: string, order: 'le' | 'be', mark: boolean) => {
  const bytes = Buffer.from(`${mark ? '\ufeff' : ''}${text}`, 'utf16le');
  return new Uint8Array(order === 'le' ? bytes : bytes.swap16());
};

test.each([
  ['UTF-16, little-endian, with its mark', utf16('serial;site\nA;Größe\n', 'le', true), undefined],
  ['UTF-16, big-endian, with its mark', utf16('serial;site\nA;Größe\n', 'be', true), undefined],
  ['UTF-16, little-endian, without', utf16('serial;site\nA;Größe\n', 'le', false), undefined],
  ['UTF-16, big-endian, without', utf16('serial;site\nA;Größe\n', 'be', false), undefined],
  [
    'Windows-1252, declared',
    new Uint8Array(Buffer.from('serial;site\nA;Größe\n', 'latin1')),
    'windows-1252' as const,
  ],
])('read: %s', async (_name, given, encoding) => {
  const { rows } = await readCsvTable([given], { ...request, encoding });
  expect(rows.map(({ fields }) => fields)).toEqual([{ serial: 'A', site: 'Größe' }]);
});

test('other plain names of a column are taken where it has none of its own, and said', async () => {
  const words = { serial: ['serial number', 's/n'], site: ['location'] };
  const table = await read('S/N,Location\nA,x\n', { words });
  expect([...table.renamed]).toEqual([
    ['serial', 'S/N'],
    ['site', 'Location'],
  ]);
  expect(table.rows[0]!.fields).toEqual({ serial: 'A', site: 'x' });
  // Its own name wins, and of two others neither is taken.
  expect((await read('serial,s/n,site\nA,B,x\n', { words })).rows[0]!.fields.serial).toBe('A');
  expect((await failure('S/N,Serial-Number,site\nA,B,x\n', { words })).code).toBe('column-missing');
});

test('cells that are left out at the end of a row, where the header has no name for them', async () => {
  expect((await read('serial,site,,\nA,x\nB,x,\n')).rows).toHaveLength(2);
});
