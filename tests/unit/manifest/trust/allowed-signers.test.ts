// Lines of allowed signers: what we make of them against what `ssh-keygen -Y verify` makes of them, and what is told of those
// that trust nobody.

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { decodeAllowedSigners } from '../../../../src/manifest/trust/allowed-signers.ts';
import { judgeSignature } from '../../../../src/manifest/trust/judge-signature.ts';
import { matchesPattern, matchesPatternList } from '../../../../src/manifest/trust/pattern-list.ts';
import { makeKey, signByKeygen, verifiedByKeygen } from '../../../support/ssh-keys.ts';

const utc = { offsetMinutes: () => 0 };
const nowMs = Date.UTC(2026, 10, 26, 12, 0, 0);
const now = '20261126120000Z';
const message = Buffer.from('manifest: release\n');
let folder = '';
let key = '';
let other = '';
let sig = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'slotproof-signers-'));
  const text = (path: string) => readFileSync(`${path}.pub`, 'utf8').trim();
  const mine = makeKey(folder, 'ed25519', 'mine');
  key = text(mine);
  other = text(makeKey(folder, 'ed25519', 'other'));
  const file = join(folder, 'm.yaml');
  writeFileSync(file, message);
  signByKeygen(mine, file);
  sig = `${file}.sig`;
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function judged(allowed: string, atMs = nowMs) {
  const { signers, faults } = decodeAllowedSigners(allowed, utc);
  const verdict = judgeSignature(
    signers,
    { path: 'm.yaml', content: message, signature: readFileSync(sig) },
    atMs,
  );
  return { verdict, faults };
}

/** KEY and OTHER stand for the keys. */
const filled = (line: string) => line.replaceAll('KEY', key).replaceAll('OTHER', other);

describe('as ssh-keygen has it', () => {
  const cases: [line: string, isTrusted: boolean][] = [
    ['lead KEY', true],
    ['lead,second KEY', true],
    ['"lead" KEY', true],
    ['lead OTHER', false],
    ['lead OTHER\nlead KEY', true],
    ['# lead KEY', false],
    ['\n   \n\tlead\tKEY', true],
    ['lead namespaces="slotproof-manifest" KEY', true],
    ['lead namespaces="file" KEY', false],
    ['lead namespaces="file,slotproof-*" KEY', true],
    ['lead namespaces="slotproof-*,!slotproof-manifest" KEY', false],
    ['lead NameSpaces="slotproof-manifest" KEY', true],
    ['lead valid-after="20261126",valid-before="20261127" KEY', true],
    ['lead valid-after=20261126Z KEY', false],
    ['lead valid-after="20261126Z" KEY', true],
    ['lead valid-after="20261126120000Z" KEY', true],
    ['lead valid-after="20261126120001Z" KEY', false],
    ['lead valid-before="20261126120000Z" KEY', true],
    ['lead valid-before="20261126115959Z" KEY', false],
    ['lead valid-before="202611261159Z" KEY', false],
    ['lead valid-before="20261126115959Z" KEY\nlead KEY', true],
    ['second valid-before="20261126115959Z" KEY\nlead KEY', true],
    ['lead cert-authority KEY', false],
    ['lead no-such-option KEY', false],
    ['lead namespaces="file" namespaces="slotproof-manifest" KEY', false],
    ['lead namespaces="a",namespaces="slotproof-manifest" KEY', false],
    ['lead valid-after="20261127",valid-before="20261126" KEY', false],
    ['lead valid-after="20261399" KEY', false],
    ['lead namespaces="slotproof-manifest KEY', false],
    ['lead namespaces="slotproof-manifest", KEY', false],
    ['lead', false],
    ['KEY', false],
    ['', false],
  ];
  test.each(cases)('%s', (line, isTrusted) => {
    const allowed = `${filled(line)}\n`;
    expect(verifiedByKeygen(folder, { allowed, principal: 'lead', message, sig, at: now })).toBe(isTrusted);
    expect(judged(allowed).verdict.kind).toBe(isTrusted ? 'signed' : 'signature-bad');
  });

  test('the principal whom we name is one that ssh-keygen takes, and another is none', () => {
    const allowed = filled('"J. Marl" namespaces="slotproof-manifest" KEY');
    const { verdict } = judged(allowed);
    const by = verdict.kind === 'signed' ? verdict.by : '';
    expect(by).toBe('J. Marl');
    const asked = { allowed, message, sig, at: now };
    expect(verifiedByKeygen(folder, { ...asked, principal: by })).toBe(true);
    expect(verifiedByKeygen(folder, { ...asked, principal: 'R. Quill' })).toBe(false);
  });
});

test('a line that trusts nobody is told with its number, and takes no other with it', () => {
  const allowed = [
    'lead KEY',
    '# a comment',
    'second cert-authority OTHER',
    'third ssh-ed25519 AAAA',
    'fourth magic="1" OTHER',
    '!fifth OTHER',
    'sixth ssh-rsa AAAAC3NzaC1lZDI1NTE5AAAAIK9zSkycpOJ8XkKs6PZbXIAzWiu/ER7L7O5k+T6zAA7v',
    'seventh valid-before="1 May" OTHER',
  ]
    .map(filled)
    .join('\r\n');
  const { verdict, faults } = judged(allowed);
  expect(verdict).toMatchObject({ kind: 'signed', by: 'lead' });
  expect(faults.map(({ line, summary }) => `${line} ${summary}`)).toEqual([
    '3 cert-authority is not supported: give the key of each person.',
    '4 It is cut short.',
    "5 The option 'magic' is not known, or lacks its value.",
    '6 The line only says whom it does not mean.',
    '7 The key is said to be ssh-rsa and is ssh-ed25519.',
    "8 '1 May' is no time as YYYYMMDD or YYYYMMDDHHMM[SS].",
  ]);
});

test('times without Z are those of the laptop', () => {
  const east = { offsetMinutes: () => 120 };
  const text = filled('lead valid-after="202611261200" KEY');
  expect(decodeAllowedSigners(text, east).signers[0]?.validAfterMs).toBe(Date.UTC(2026, 10, 26, 10));
  expect(decodeAllowedSigners(text, utc).signers[0]?.validAfterMs).toBe(nowMs);
});

test('what is told of a signature that does not count', () => {
  const told = (allowed: string, atMs?: number) => {
    const { verdict } = judged(filled(allowed), atMs);
    return verdict.kind === 'signed' ? '' : `${verdict.finding.code}: ${verdict.finding.summary}`;
  };
  expect(told('lead OTHER')).toMatch(/signature-bad: .* a key that is not trusted here/);
  expect(told('lead namespaces="file" KEY')).toMatch(/trusted for other purposes alone/);
  expect(told('lead valid-after="20261127" KEY')).toMatch(/not trusted yet/);
  expect(told('lead valid-before="20261125" KEY')).toMatch(/no longer trusted/);
  const none = judgeSignature([], { path: 'm.yaml', content: message, signature: undefined }, nowMs);
  expect(none.kind).toBe('unsigned');
});

test('bounds: many lines, a long line, many faults', () => {
  const many = decodeAllowedSigners('x\n'.repeat(100_000), utc);
  expect([many.signers.length, many.faults.length]).toEqual([0, 50]);
  expect(decodeAllowedSigners(`${'a,'.repeat(50_000)}a ${key}`, utc).faults[0]?.summary).toMatch(/too long/);
  const lines = decodeAllowedSigners(`${`lead ${key}\n`.repeat(6000)}`, utc);
  expect([lines.signers.length, lines.faults.length]).toEqual([5000, 1]);
});

test('patterns', () => {
  const rows: [string, string, boolean][] = [
    ['abc', '*', true],
    ['', '*', true],
    ['', '', true],
    ['abc', 'a?c', true],
    ['abc', 'a?', false],
    ['abcabd', '*abd', true],
    ['abcabd', 'a*b*d', true],
    ['abc', 'ABC', false],
  ];
  for (const [text, pattern, matches] of rows) expect(matchesPattern(text, pattern), pattern).toBe(matches);
  expect(matchesPattern('a'.repeat(5000), `${'*a'.repeat(2000)}b`)).toBe(false);
  expect(matchesPatternList('a', 'b,c')).toBe(false);
});
