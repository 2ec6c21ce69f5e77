// Debian's chromium under playwright, without a sandbox of its own since the tests may run as root, and without
// anything that it would fetch by itself.

import { execFileSync } from 'node:child_process';
import { type Browser, chromium } from 'playwright-core';

export function openBrowser(): Promise<Browser> {
  const executablePath = execFileSync('sh', ['-c', 'command -v chromium'], { encoding: 'utf8' }).trim();
  return chromium.launch({
    executablePath,
    args: ['--no-sandbox', '--disable-gpu', '--disable-background-networking', '--no-first-run'],
  });
}
