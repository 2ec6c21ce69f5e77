// Which build of the tool this is: the digest of its sources, put in by build.js. undefined when run from the
// sources, which may change between two runs.

declare const SLOTPROOF_BUILD: string | undefined;

export const buildId = typeof SLOTPROOF_BUILD === 'undefined' ? undefined : SLOTPROOF_BUILD;
