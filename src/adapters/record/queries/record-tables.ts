// The record's tables as the query definitions see them: the same columns on every engine. How each engine makes
// them is its migrations' business.

export interface RecordTables {
  entries: {
    laptop: string;
    seq: number;
    kind: string;
    serial: string | null;
    claimed_ms: number;
    written_ms: number;
    hash: string;
    text: string;
  };
  /** Where each chain ends. */
  marks: { laptop: string; seq: number; hash: string };
  /** What the entries of each unit add up to. */
  units: {
    serial: string;
    product: string;
    site: string | null;
    /** 0 or 1. */
    retired: number;
    newest_ms: number;
    state: string;
  };
}
