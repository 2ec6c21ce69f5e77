// A walk before its first question.

import type { Walk, WalkPlan } from './walk.ts';

export function beginWalk(plan: WalkPlan, atMs: number): Walk {
  return {
    phase: { kind: 'cautions', index: 0 },
    atMs,
    resuming: false,
    begun: false,
    at: plan.successors.begin(),
    arrivedMs: atMs,
    idle: false,
    mayHaveTaken: false,
    passed: [],
    lapsed: [],
    notes: {
      card: null,
      revision: null,
      versionBefore: null,
      settings: [],
      notRestored: [],
      versionRead: null,
      why: null,
      lights: null,
    },
    result: null,
    complaint: null,
    done: [],
  };
}
