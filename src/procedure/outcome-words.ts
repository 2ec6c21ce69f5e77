// How a visit can come out, and the words that go with it: for the walk, the log and every list to choose from.

export const outcomeKinds = ['updated', 'failed', 'deferred', 'already-current'] as const;
export const leftStates = ['running', 'off', 'locked-off', 'no-life'] as const;
export const deferralReasons = [
  'no-access',
  'refused',
  'no-time',
  'unsafe',
  'wrong-hardware',
  'no-card',
  'other',
] as const;
export const failureCauses = ['release', 'card', 'unit', 'site', 'safety'] as const;
