// The record folder as a store is given it: sealing, opening, adding up, checking.

import type { RecordRules } from '../ports/record-rules.ts';
import { canonicalText } from './canonical-text.ts';
import { chainCheck, checkChain } from './check-chain.ts';
import { foldUnit } from './fold-unit.ts';
import { receiveEntry } from './receive-entry.ts';
import { openEntry, sealEntry } from './seal-entry.ts';
import type { UnitRecord } from './unit-record.ts';

export const recordRules: RecordRules<UnitRecord> = {
  seal: sealEntry,
  open: openEntry,
  receive: receiveEntry,
  fold: foldUnit,
  encodeUnit: canonicalText,
  decodeUnit: (text) => JSON.parse(text) as UnitRecord,
  keys: ({ serial, product, site, retired, newestMs }) => ({ serial, product, site, retired, newestMs }),
  checkChain,
  chainCheck,
};
