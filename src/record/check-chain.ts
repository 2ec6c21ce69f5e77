// Is every laptop's chain whole and unchanged? Recomputes each hash from the stored text, each column from the
// text, each place from the one before, and each end from the marks. It shows edits, reordering and removal
// before a known mark; it cannot show that an entry was true, nor a whole chain rewritten together with all
// marks that are kept here. Damage is a finding, never an exception.

import { sha256Hex } from '../bytes/sha256.ts';
import { type ChainCheck, type ChainMarks, noPrev, type StoredEntry } from '../ports/record-rules.ts';
import type { Entry, Mark } from '../ports/record-store.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import { isCanonicalText } from './canonical-text.ts';
import { type ChainTimes, checkTimes } from './check-times.ts';
import { knownEntry } from './entry.ts';
import { entryFrom, entryId, storedEntry } from './seal-entry.ts';

/** How far one chain has been followed. */
interface Chain {
  readonly laptop: string;
  lastSeq: number;
  /** Hash of the last text as it is, whatever its column says. */
  lastHash: string;
  readonly times: ChainTimes;
}

/** `rows` sorted by laptop and seq. */
export function* checkChain(rows: Iterable<StoredEntry>, marks: ChainMarks): Generator<Finding> {
  const check = chainCheck(marks);
  for (const row of rows) yield* check.look(row);
  yield* check.end();
}

/** The same, row after row: for a store that waits for its rows. */
export function chainCheck(marks: ChainMarks): ChainCheck {
  const strangers = new Map<string, number>();
  const unseenEnds = new Map(marks.ends.map((mark) => [mark.laptop, mark]));
  const known = new Map<string, Mark[]>();
  for (const mark of marks.known) known.set(mark.laptop, [...(known.get(mark.laptop) ?? []), mark]);
  let chain: Chain | undefined;

  function* endChain(): Generator<Finding> {
    if (chain === undefined) return;
    yield* checkEnd(chain, unseenEnds.get(chain.laptop));
    unseenEnds.delete(chain.laptop);
    for (const mark of known.get(chain.laptop) ?? []) yield* checkReach(chain, mark);
    yield* chain.times.findings();
    known.delete(chain.laptop);
  }

  function* beginChain(row: StoredEntry): Generator<Finding> {
    yield* endChain();
    chain = { laptop: row.laptop, lastSeq: 0, lastHash: noPrev, times: checkTimes() };
    yield* lookAt(row, chain);
  }

  function lookAt(row: StoredEntry, current: Chain): Iterable<Finding> {
    const value = parsed(row.text);
    const entry = value === undefined ? undefined : entryFrom(value, row.hash);
    if (entry !== undefined && knownEntry(entry) === undefined) {
      strangers.set(row.kind, (strangers.get(row.kind) ?? 0) + 1);
    }
    if (entry !== undefined) current.times.look(entry);
    const hash = sha256Hex(row.text);
    const marks = (known.get(row.laptop) ?? nothing).filter(({ seq }) => seq === row.seq);
    // A million rows are sound where one is not: those are told apart first, without a word.
    if (entry !== undefined && marks.length === 0 && isSound(row, { entry, value, hash }, current)) {
      current.lastSeq = row.seq;
      current.lastHash = hash;
      return nothing;
    }
    return checkRow(row, entry, { hash, isCanonical: isCanonicalText(row.text, value) }, current, marks);
  }

  return {
    look(row) {
      return chain?.laptop === row.laptop ? lookAt(row, chain) : beginChain(row);
    },
    *end() {
      yield* endChain();
      for (const mark of unseenEnds.values()) yield tailMissing(mark, 0);
      for (const missing of known.values()) for (const mark of missing) yield tailMissing(mark, 0);
      for (const [kind, count] of strangers) yield kindUnknown(kind, count);
    },
  };
}

const nothing: readonly never[] = [];

function isSound(
  row: StoredEntry,
  { entry, value, hash }: { readonly entry: Entry; readonly value: unknown; readonly hash: string },
  chain: Chain,
): boolean {
  const { laptop, seq, kind, claimedMs, writtenMs, body, prev } = entry;
  return (
    hash === row.hash &&
    row.seq === chain.lastSeq + 1 &&
    prev === chain.lastHash &&
    row.laptop === laptop &&
    row.seq === seq &&
    row.kind === kind &&
    row.serial === (typeof body.serial === 'string' ? body.serial : null) &&
    row.claimedMs === claimedMs &&
    row.writtenMs === writtenMs &&
    isCanonicalText(row.text, value)
  );
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

/** Whole and unchanged, and yet it may mean something that is not counted. */
function kindUnknown(kind: string, count: number): Finding {
  return {
    code: 'kind-unknown',
    severity: 'warn',
    summary: `${count} ${count === 1 ? 'entry is' : 'entries are'} of a kind that this version of slotproof does not know: kept, but not added up.`,
    seen: printable(kind, 60),
    next: 'Use the newer version of slotproof that wrote it.',
  };
}

function* checkRow(
  row: StoredEntry,
  entry: Entry | undefined,
  { hash, isCanonical }: { readonly hash: string; readonly isCanonical: boolean },
  chain: Chain,
  marks: readonly Mark[],
): Generator<Finding> {
  const where = whereOf(row);
  if (hash !== row.hash) {
    yield stop('entry-altered', 'The text of an entry is not the one that was hashed.', where, {
      seen: hash,
      expected: printable(row.hash),
    });
  }
  if (entry === undefined) {
    yield stop('entry-unreadable', 'The text of an entry cannot be read as one.', where, {
      seen: printable(row.text, 60),
    });
  } else {
    if (!isCanonical) {
      yield stop(
        'entry-not-canonical',
        'The text of an entry is not in the form that is hashed (RFC 8785).',
        where,
      );
    }
    const expected = storedEntry(entry, row.text);
    for (const column of ['laptop', 'seq', 'kind', 'serial', 'claimedMs', 'writtenMs'] as const) {
      if (row[column] === expected[column]) continue;
      yield stop(
        'column-differs',
        `The column ${columnNames[column]} of an entry is not what its text says.`,
        where,
        {
          seen: printable(String(row[column])),
          expected: printable(String(expected[column])),
        },
      );
    }
  }
  yield* checkPlace(row, entry?.prev, chain);
  for (const mark of marks) {
    if (!hash.startsWith(mark.hash)) {
      yield stop('mark-differs', 'An entry is not the one that a mark was taken of.', where, {
        seen: hash,
        expected: printable(mark.hash),
      });
    }
  }
  chain.lastSeq = Math.max(chain.lastSeq, row.seq);
  chain.lastHash = hash;
}

/** As the columns are called where a person would look for them. */
const columnNames = {
  laptop: 'laptop',
  seq: 'seq',
  kind: 'kind',
  serial: 'serial',
  claimedMs: 'claimed_ms',
  writtenMs: 'written_ms',
} as const;

function* checkPlace(row: StoredEntry, prev: string | undefined, chain: Chain): Generator<Finding> {
  const where = whereOf(row);
  const expectedSeq = chain.lastSeq + 1;
  if (row.seq > expectedSeq) {
    const last = row.seq - 1;
    const missing =
      last === expectedSeq ? entryId(row.laptop, last) : `${entryId(row.laptop, expectedSeq)} to ${last}`;
    yield stop('entry-missing', `Entries are missing from a chain: ${printable(missing)}.`, where);
  } else if (row.seq < expectedSeq) {
    yield stop('entry-repeated', 'Two entries claim one place in a chain.', where);
  } else if (prev !== undefined && prev !== chain.lastHash) {
    yield stop('previous-differs', 'An entry does not follow the one before it.', where, {
      seen: prev,
      expected: chain.lastHash,
    });
  }
}

function* checkEnd(chain: Chain, end: Mark | undefined): Generator<Finding> {
  const where = entryId(printable(chain.laptop), chain.lastSeq);
  if (end === undefined) {
    yield stop('mark-missing', "The note of this chain's newest entry is gone.", where);
  } else if (end.seq > chain.lastSeq) {
    yield tailMissing(end, chain.lastSeq);
  } else if (end.seq < chain.lastSeq || end.hash !== chain.lastHash) {
    yield stop('mark-differs', "The note of this chain's newest entry names another one.", where, {
      seen: `${entryId(printable(end.laptop), end.seq)} ${printable(end.hash)}`,
      expected: `${where} ${chain.lastHash}`,
    });
  }
}

function* checkReach(chain: Chain, mark: Mark): Generator<Finding> {
  if (mark.seq > chain.lastSeq) yield tailMissing(mark, chain.lastSeq);
}

function tailMissing(mark: Mark, lastSeq: number): Finding {
  const laptop = printable(mark.laptop);
  return stop('tail-missing', 'The newest entries of a chain are gone.', entryId(laptop, mark.seq), {
    seen: lastSeq === 0 ? 'no entry of this laptop' : `ends with ${entryId(laptop, lastSeq)}`,
    expected: `${entryId(laptop, mark.seq)} or later`,
  });
}

const whereOf = (row: StoredEntry) => printable(entryId(row.laptop, row.seq));

function stop(
  code: string,
  summary: string,
  where: string,
  more: { readonly seen?: string; readonly expected?: string } = {},
): Finding {
  return {
    code,
    severity: 'stop',
    summary,
    ...more,
    where,
    next: 'Keep this record as it is, make a copy of it, and call the service lead.',
  };
}
