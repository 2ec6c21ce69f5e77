// Where the page keeps its state on the phone, if the phone lets a page from a file keep anything. Each sheet has its
// own place. What is kept leaves the phone only when somebody sends it.

import { decodeState, type PocketState } from './pocket-state.ts';

export interface PageStore {
  /** False: everything is lost when the page is closed, and the page says so. */
  readonly keeps: boolean;
  read(): PocketState | undefined;
  write(state: PocketState): void;
  forget(): void;
}

export function openPageStore(sheet: string): PageStore {
  const place = `slotproof pocket ${sheet}`;
  let storage: Storage | undefined;
  try {
    storage = window.localStorage;
    const probe = `${place} probe`;
    storage.setItem(probe, '1');
    storage.removeItem(probe);
  } catch {
    storage = undefined;
  }
  let full = storage === undefined;
  return {
    get keeps() {
      return !full;
    },
    read() {
      try {
        return decodeState(storage?.getItem(place) ?? '');
      } catch {
        return undefined;
      }
    },
    write(state) {
      try {
        storage?.setItem(place, JSON.stringify(state));
      } catch {
        full = true;
      }
    },
    forget() {
      try {
        storage?.removeItem(place);
      } catch {
        full = true;
      }
    },
  };
}
