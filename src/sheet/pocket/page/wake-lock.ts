// Asks the phone to leave its screen on while a walk is under way. Many phones refuse it to a page from a file; then
// the person has to see to it, and the page says so.

let held: Promise<{ release(): Promise<void> } | undefined> | undefined;

export function keepScreenOn(wanted: boolean): void {
  if (wanted === (held !== undefined)) return;
  if (!wanted) {
    void held?.then((lock) => lock?.release()).catch(() => undefined);
    held = undefined;
    return;
  }
  const lock = (navigator as Partial<Pick<Navigator, 'wakeLock'>>).wakeLock;
  held = Promise.resolve(lock?.request('screen')).catch(() => undefined);
}

/** The phone takes the lock away whenever the page is out of sight. */
export function forgetScreenLock(): void {
  held = undefined;
}
