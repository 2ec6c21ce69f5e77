// The demonstration's archives, judged by Info-ZIP and by Python's own reader.

import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { encodeStoredZip } from '../../../src/bytes/stored-zip.ts';

const folder = mkdtempSync(join(tmpdir(), 'slotproof-zip-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const members = [
  { name: 'a/README.TXT', bytes: new TextEncoder().encode('hello\r\n') },
  { name: 'a/EMPTY.BIN', bytes: new Uint8Array(0) },
  { name: 'a/IMAGE.BIN', bytes: Uint8Array.from({ length: 70_001 }, (_, i) => (i * 7) & 0xff) },
];

const script = `
import sys, zipfile, json, hashlib
z = zipfile.ZipFile(sys.argv[1])
print(json.dumps({'bad': z.testzip(), 'members': [[i.filename, i.file_size, hashlib.sha256(z.read(i)).hexdigest(), list(i.date_time), i.compress_type] for i in z.infolist()]}))
`;

function judged(bytes: Uint8Array) {
  const path = join(folder, 'z.zip');
  writeFileSync(path, bytes);
  const python = spawnSync('python3', ['-c', script, path], { encoding: 'utf8' });
  return {
    infoZip: spawnSync('unzip', ['-tqq', path]).status,
    python: python.status === 0 ? JSON.parse(python.stdout) : undefined,
  };
}

it('holds what it was given, by two readers that are not ours', () => {
  const { infoZip, python } = judged(encodeStoredZip(members, '2026-08-31'));
  expect(infoZip).toBe(0);
  expect(python.bad).toBe(null);
  expect(python.members).toEqual(
    members.map(({ name, bytes }) => {
      const sha256 = execFileSync('sha256sum', { input: bytes }).toString().split(' ')[0];
      return [name, bytes.length, sha256, [2026, 8, 31, 12, 0, 0], 0];
    }),
  );
});

it('is the same each time', () => {
  expect(encodeStoredZip(members, '2026-08-31')).toEqual(encodeStoredZip(members, '2026-08-31'));
  expect(encodeStoredZip(members, '2026-08-31')).not.toEqual(encodeStoredZip(members, '2026-09-01'));
});

it('has judges that tell one changed byte', () => {
  const bytes = encodeStoredZip(members, '2026-08-31');
  bytes[bytes.length - 4000]! ^= 1;
  const { infoZip, python } = judged(bytes);
  expect(infoZip).not.toBe(0);
  expect(python).toBe(undefined);
});
