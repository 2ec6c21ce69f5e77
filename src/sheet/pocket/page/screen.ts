// What one screen of the page is: its content, what it does each time the clock is looked at, and a key by which a new
// question is told from the same one asked again.

import type { Tree } from '../tree.ts';

export interface Screen {
  /** A screen of the same key keeps the reader's place; of another one, the reader is led to its heading. */
  readonly key: string;
  readonly content: readonly Tree[];
  /** Called once when it stands on the page. */
  mounted?(): void;
  /** Called some times a second. */
  tick?(atMs: number): void;
  /** Called before it is taken off the page. */
  left?(): void;
}
