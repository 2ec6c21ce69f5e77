// A phone for the tests: a small screen with fingers, a file opened from its own storage, no network. Whatever the
// page asks for beyond itself, whatever it complains of, and whatever it breaks is noted.

import type { Browser, BrowserContext, BrowserContextOptions, Page } from 'playwright-core';

export interface PhoneOptions {
  readonly width?: number;
  readonly height?: number;
  readonly dark?: boolean;
  readonly still?: boolean;
  /** No localStorage at all. */
  readonly forgets?: boolean;
  /** As a page has it that does not count as secure: no crypto.subtle, no clipboard, no wake lock. */
  readonly insecure?: boolean;
  /** Its clock stands still but for what the test lets pass. */
  readonly clock?: boolean;
  readonly scripts?: boolean;
  readonly more?: BrowserContextOptions;
}

export interface Phone {
  readonly page: Page;
  readonly context: BrowserContext;
  /** Every address asked for. */
  readonly requests: readonly string[];
  /** Errors thrown, and what the console says. */
  readonly troubles: readonly string[];
  close(): Promise<void>;
}

export async function openPhone(browser: Browser, options: PhoneOptions = {}): Promise<Phone> {
  const context = await browser.newContext({
    viewport: { width: options.width ?? 360, height: options.height ?? 740 },
    deviceScaleFactor: 2,
    hasTouch: true,
    isMobile: true,
    acceptDownloads: true,
    javaScriptEnabled: options.scripts !== false,
    colorScheme: options.dark ? 'dark' : 'light',
    reducedMotion: options.still ? 'reduce' : 'no-preference',
    ...options.more,
  });
  await context.setOffline(true);
  const page = await context.newPage();
  const requests: string[] = [];
  const troubles: string[] = [];
  page.on('request', (request) => requests.push(request.url()));
  page.on('pageerror', (error) => troubles.push(error.message));
  page.on('console', (message) => troubles.push(message.text()));
  if (options.forgets) {
    await page.addInitScript(() => {
      Object.defineProperty(window, 'localStorage', {
        get() {
          throw new DOMException('denied', 'SecurityError');
        },
      });
    });
  }
  if (options.insecure) {
    await page.addInitScript(() => {
      Object.defineProperty(crypto, 'subtle', { value: undefined });
      Object.defineProperty(navigator, 'clipboard', { value: undefined });
      Object.defineProperty(navigator, 'wakeLock', { value: undefined });
      Object.defineProperty(navigator, 'vibrate', { value: undefined });
    });
  }
  if (options.clock) await page.clock.install();
  return { page, context, requests, troubles, close: () => context.close() };
}
