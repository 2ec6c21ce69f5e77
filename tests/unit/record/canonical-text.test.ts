// The judge is RFC 8785 itself: the example of sections 3.2.2 to 3.2.4 with its octets, the sorting example of
// 3.2.3, and the numbers of appendix B by their IEEE 754 bits.
import fc from 'fast-check';
import { expect, test } from 'vitest';
import { canonicalText, isCanonicalText } from '../../../src/record/canonical-text.ts';
import { isPlainCanonical } from '../../../src/record/plain-canonical.ts';
import { checkSeeded } from '../../support/seeded.ts';

test('the example of RFC 8785, to the octet', () => {
  const input = String.raw`{
    "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
    "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
    "literals": [null, true, false]
  }`;
  const octets = `
    7b 22 6c 69 74 65 72 61 6c 73 22 3a 5b 6e 75 6c 6c 2c 74 72
    75 65 2c 66 61 6c 73 65 5d 2c 22 6e 75 6d 62 65 72 73 22 3a
    5b 33 33 33 33 33 33 33 33 33 2e 33 33 33 33 33 33 33 2c 31
    65 2b 33 30 2c 34 2e 35 2c 30 2e 30 30 32 2c 31 65 2d 32 37
    5d 2c 22 73 74 72 69 6e 67 22 3a 22 e2 82 ac 24 5c 75 30 30
    30 66 5c 6e 41 27 42 5c 22 5c 5c 5c 5c 5c 22 2f 22 7d`;
  const text = canonicalText(JSON.parse(input));
  expect(Buffer.from(text).toString('hex')).toBe(octets.replace(/\s/g, ''));
});

test('names are sorted by UTF-16 code units', () => {
  const input = String.raw`{
    "\u20ac": "Euro Sign", "\r": "Carriage Return", "\ufb33": "Hebrew Letter Dalet With Dagesh",
    "1": "One", "\ud83d\ude00": "Emoji: Grinning Face", "\u0080": "Control",
    "\u00f6": "Latin Small Letter O With Diaeresis" }`;
  expect(Object.values(JSON.parse(canonicalText(JSON.parse(input))))[0]).toBe('One');
  expect(canonicalText(JSON.parse(input)).match(/(?<=":")[^"]+/g)).toEqual([
    'Carriage Return',
    'One',
    'Control',
    'Latin Small Letter O With Diaeresis',
    'Euro Sign',
    'Emoji: Grinning Face',
    'Hebrew Letter Dalet With Dagesh',
  ]);
});

test.each([
  ['0000000000000000', '0'],
  ['8000000000000000', '0'],
  ['0000000000000001', '5e-324'],
  ['8000000000000001', '-5e-324'],
  ['7fefffffffffffff', '1.7976931348623157e+308'],
  ['ffefffffffffffff', '-1.7976931348623157e+308'],
  ['4340000000000000', '9007199254740992'],
  ['c340000000000000', '-9007199254740992'],
  ['4430000000000000', '295147905179352830000'],
  ['44b52d02c7e14af5', '9.999999999999997e+22'],
  ['44b52d02c7e14af6', '1e+23'],
  ['44b52d02c7e14af7', '1.0000000000000001e+23'],
  ['444b1ae4d6e2ef4e', '999999999999999700000'],
  ['444b1ae4d6e2ef4f', '999999999999999900000'],
  ['444b1ae4d6e2ef50', '1e+21'],
  ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
  ['3eb0c6f7a0b5ed8d', '0.000001'],
  ['41b3de4355555553', '333333333.3333332'],
  ['41b3de4355555554', '333333333.33333325'],
  ['41b3de4355555555', '333333333.3333333'],
  ['41b3de4355555556', '333333333.3333334'],
  ['41b3de4355555557', '333333333.33333343'],
  ['becbf647612f3696', '-0.0000033333333333333333'],
  ['43143ff3c1cb0959', '1424953923781206.2'],
])('the number %s', (bits, text) => {
  expect(canonicalText(Buffer.from(bits, 'hex').readDoubleBE())).toBe(text);
});

test('what the form cannot hold is refused, wherever it stands', () => {
  for (const value of [
    Number.NaN,
    Number.POSITIVE_INFINITY,
    '\ud800',
    'x\udc00',
    10n,
    () => 1,
    Symbol('x'),
  ]) {
    expect(() => canonicalText({ body: [value] }), String(value)).toThrow(TypeError);
  }
  expect(() => canonicalText({ '\ud800': 1 })).toThrow(TypeError);
  expect(() => canonicalText(undefined)).toThrow(TypeError);
  let deep: unknown = 1;
  for (let i = 0; i < 70; i++) deep = [deep];
  expect(() => canonicalText(deep)).toThrow(/deep/);
});

test('whole characters beyond the first plane are kept, absent names left out', () => {
  expect(canonicalText({ b: '\u{1f600}', a: undefined })).toBe('{"b":"\u{1f600}"}');
});

test('the fast look says of every text what writing it anew says', async () => {
  const name = fc.oneof(
    fc.string({ maxLength: 3 }),
    fc.constantFrom('10', '9', '__proto__', 'a', 'B', 'ö', '😀', '\ufb33'),
  );
  const value = fc.letrec((tie) => ({
    any: fc.oneof(
      { maxDepth: 4 },
      fc.oneof(
        fc.double(),
        fc.integer(),
        fc.boolean(),
        fc.constant(null),
        fc.string({ unit: 'binary' }),
        fc.constantFrom('\ud800', '"\\', 'ud'),
      ),
      fc.array(tie('any'), { maxLength: 3 }),
      fc.array(fc.tuple(name, tie('any')), { maxLength: 4 }),
    ),
  })).any;
  /** Pairs become an object in the order in which they come, as a text alone can have it. */
  const write = (one: unknown): string =>
    !Array.isArray(one)
      ? (JSON.stringify(one) ?? 'null')
      : one.length > 0 &&
          one.every((pair) => Array.isArray(pair) && typeof pair[0] === 'string' && pair.length === 2)
        ? `{${one.map(([key, member]) => `${JSON.stringify(key)}:${write(member)}`).join(',')}}`
        : `[${one.map(write).join(',')}]`;
  const sorted = (text: string) => {
    try {
      return canonicalText(JSON.parse(text));
    } catch {
      return text;
    }
  };
  let canonical = 0;
  await checkSeeded(
    'tests/unit/record/canonical-text.test.ts',
    4000,
    fc.property(
      value,
      fc.boolean(),
      fc.nat(30),
      fc.constantFrom('', ' ', '0', '\\u0041'),
      (one, inOrder, at, more) => {
        const plain = inOrder ? sorted(write(one)) : write(one);
        const text = plain.slice(0, at) + more + plain.slice(at);
        let parsed: unknown;
        try {
          parsed = JSON.parse(text);
        } catch {
          return;
        }
        let expected: boolean;
        try {
          expected = canonicalText(parsed) === text;
        } catch {
          expected = false;
        }
        if (expected) canonical += 1;
        expect(isCanonicalText(text, parsed), text).toBe(expected);
      },
    ),
  );
  expect(canonical).toBeGreaterThan(300);
});

test('deep nesting is not canonical, whichever way is gone', () => {
  for (const [depth, is] of [
    [64, true],
    [65, false],
    [5000, false],
  ] as const) {
    const text = `${'['.repeat(depth)}1${']'.repeat(depth)}`;
    expect(isCanonicalText(text, JSON.parse(text)), String(depth)).toBe(is);
  }
});

test.each([
  ['{}', true],
  ['{"a":[],"b":[1,-2,0,"x",true,false,null],"é":"ß"}', true],
  ['{"a":1,"a0":2,"aa":3}', true],
  ['{"":1}', true],
  ['123456789012345', true],
  ['1234567890123456', false],
  ['-0', false],
  ['01', false],
  ['1.5', false],
  ['1e3', false],
  ['"a\\nb"', false],
  ['"\u{1f600}"', false],
  ['"a\u001fb"', false],
  ['{"b":1,"a":2}', false],
  ['{"a":1,"a":2}', false],
  ['{"aa":1,"a":2}', false],
  ['{"a":1, "b":2}', false],
  ['{"a":1,}', false],
  ['[1,]', false],
  ['{"a":1}}', false],
  ['{"a":tru}', false],
  ['"open', false],
  ['', false],
])('what is told without making a value of it: %s', (text, isPlain) => {
  expect(isPlainCanonical(text, 8)).toBe(isPlain);
});

test('as deep as is said, and no deeper', () => {
  expect(isPlainCanonical('[[[]]]', 3)).toBe(true);
  expect(isPlainCanonical('[[[]]]', 2)).toBe(false);
  expect(isPlainCanonical('['.repeat(100_000), 64)).toBe(false);
});
