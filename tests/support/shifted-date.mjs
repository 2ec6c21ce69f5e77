// Lets a whole test run believe in another day, its child processes too. Not loaded by itself:
//   TEST_DATE=2026-02-01 NODE_OPTIONS="--import $PWD/tests/support/shifted-date.mjs" npx vitest run --project default
// The clock still runs; only where it stands is another. Files keep the times that the system gives them.

const wanted = process.env.TEST_DATE;
if (wanted !== undefined && wanted !== '') {
  const RealDate = Date;
  const atMs = RealDate.parse(wanted.includes('T') ? wanted : `${wanted}T12:00:00Z`);
  if (Number.isNaN(atMs)) throw new Error(`TEST_DATE is no date: ${wanted}`);
  // Told to the children as well, so that all processes of a run agree.
  process.env.TEST_DATE_SHIFT_MS ??= String(atMs - RealDate.now());
  const shiftMs = Number(process.env.TEST_DATE_SHIFT_MS);
  globalThis.Date = class ShiftedDate extends RealDate {
    constructor(...given) {
      if (given.length === 0) super(RealDate.now() + shiftMs);
      else super(...given);
    }

    static now() {
      return RealDate.now() + shiftMs;
    }
  };
}
