import { expect, test } from 'vitest';
import { hidePasswords } from '../../../src/words/hide-passwords.ts';

test.each([
  ["Unknown command 'postgresql://quill:secret@h/d'.", "Unknown command 'postgresql://quill:…@h/d'."],
  ['postgres://:secret:x@h', 'postgres://:…@h'],
  ['x?user=a&password=secret&y=1 sslpassword=secret', 'x?user=a&password=…&y=1 sslpassword=…'],
  ['postgresql://quill@h:5432/d at 10:30', 'postgresql://quill@h:5432/d at 10:30'],
  ['nothing to hide: a@b, 10:30', 'nothing to hide: a@b, 10:30'],
])('%s', (text, shown) => {
  expect(hidePasswords(text)).toBe(shown);
});
