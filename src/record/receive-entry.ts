// A sealed entry that comes from elsewhere (a packet, a server), before it is stored: is it an entry, in the form
// that is hashed, and is the hash its own? Where it belongs in its chain is the store's question.

import { sha256Hex } from '../bytes/sha256.ts';
import type { ProvedEntry, ReceivedEntry, SealedEntry } from '../ports/record-rules.ts';
import type { Entry } from '../ports/record-store.ts';
import { isCanonicalText } from './canonical-text.ts';
import { entryFrom, storedEntry } from './seal-entry.ts';

/** Far more than a person types into one entry: beyond it something else is being carried. */
const maxTextLength = 1_000_000;
/** As marks are typed: nothing else may become the name of a chain. */
const laptopForm = /^[a-z0-9]{1,32}$/;

export function receiveEntry(sealed: SealedEntry): ReceivedEntry {
  const read = readSealed(sealed);
  return 'fault' in read ? read : provedEntry(read.entry, sealed.text);
}

/** `entry`: what `readSealed` made of this text. */
export function provedEntry(entry: Entry, text: string): ProvedEntry {
  return { stored: storedEntry(entry, text), prev: entry.prev };
}

/** The same, as the entry that it is. */
export function readSealed({
  text,
  hash,
}: SealedEntry): { readonly entry: Entry } | Extract<ReceivedEntry, { fault: string }> {
  if (text.length > maxTextLength) return { fault: 'unreadable' };
  if (sha256Hex(text) !== hash) return { fault: 'altered' };
  const value = parsed(text);
  const entry = entryFrom(value, hash);
  if (entry === undefined || !laptopForm.test(entry.laptop)) return { fault: 'unreadable' };
  if (!isCanonicalText(text, value)) return { fault: 'not-canonical' };
  return { entry };
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
