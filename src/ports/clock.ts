// Time, handed in. Instants are milliseconds since 1970-01-01T00:00Z; local days belong to the laptop's zone.

export interface Clock {
  now(): number;
  /** Minutes to add to UTC for local time at that instant: +60 for UTC+1. */
  offsetMinutes(atMs: number): number;
  /** The first instant of the local day `YYYY-MM-DD`. */
  startOfLocalDay(day: string): number;
}
