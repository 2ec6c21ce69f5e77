// One plain closing line that any machine can read: how many tests passed, failed and were skipped.

import type { Reporter, TestModule } from 'vitest/node';

export default class CountReporter implements Reporter {
  onTestRunEnd(modules: readonly TestModule[], errors: readonly unknown[]): void {
    const counts = { passed: 0, failed: errors.length, skipped: 0 };
    for (const module of modules) {
      if (!module.ok() && module.children.size === 0) counts.failed += 1;
      for (const test of module.children.allTests()) {
        const { state } = test.result();
        if (state === 'pending') counts.skipped += 1;
        else counts[state] += 1;
      }
    }
    console.log(`${counts.passed} passed, ${counts.failed} failed, ${counts.skipped} skipped`);
  }
}
