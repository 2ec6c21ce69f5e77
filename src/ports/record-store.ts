// The record as the commands see it: append-only entries and the unit states they add up to, both changed in
// one transaction. Filled in by the record's own work; nothing here knows SQL.

export interface EntryAddress {
  readonly id: string;
  readonly laptop: string;
  readonly seq: number;
  readonly hash: string;
}
