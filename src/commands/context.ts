// What a command is given: the ports, the workspace and the options that stand anywhere. Heavy parts are
// opened on demand, so that a command pays only for what it uses.

import type { Catalogue } from '../manifest/catalogue.ts';
import type { Archives } from '../ports/archives.ts';
import type { Cards } from '../ports/blocks.ts';
import type { Clock } from '../ports/clock.ts';
import type { Drives } from '../ports/drives.ts';
import type { Files } from '../ports/files.ts';
import type { KeyAgent } from '../ports/key-agent.ts';
import type { OfficeServer } from '../ports/office-server.ts';
import type { PdfPress } from '../ports/pdf-press.ts';
import type { Random } from '../ports/random.ts';
import type { RecordFile } from '../ports/record-file.ts';
import type { RecordStore } from '../ports/record-store.ts';
import type { Terminal } from '../ports/terminal.ts';
import type { Volumes } from '../ports/volumes.ts';
import type { Workspace } from '../ports/workspace.ts';
import type { UnitRecord } from '../record/unit-record.ts';

/** Another workspace with its own time: where the demo plays. */
export interface Elsewhere {
  readonly root: string;
  readonly typedBy: string;
  readonly clock: Clock;
}

export interface Context {
  readonly workspace: Workspace;
  readonly files: Files;
  readonly cards: Cards;
  readonly clock: Clock;
  readonly random: Random;
  readonly terminal: Terminal;
  /** Aborted by Ctrl-C from the first look at it on: a command that reads it must stop in good order. */
  readonly stop: AbortSignal;
  /** `--as`, where given. */
  readonly typedBy: string | undefined;
  archives(): Promise<Archives>;
  drives(): Promise<Drives>;
  volumes(): Promise<Volumes>;
  press(): Promise<PdfPress>;
  /** The ssh-agent of this session, where there is one. */
  keyAgent(): Promise<KeyAgent>;
  /** The way to an office's server; nothing is opened yet. */
  office(): Promise<OfficeServer<UnitRecord>>;
  /** All sound manifests of the workspace; read once. */
  catalogue(): Promise<Catalogue>;
  /** The manifests that come with the tool: the demo maker's, and the published JSON Schema. */
  readonly shippedManifests: string;
  /** The pocket page's own code, as the build made it. */
  readonly shippedPage: string;
  /** Of sheets and visits, as the environment asks for it. */
  readonly language: string | undefined;
  /**
   * Opened (made, where it is to be written) on first use; the composer closes it. undefined: none there yet. With
   * `--record URL` it is the server's, and only read.
   */
  record(access: 'read'): Promise<RecordStore<UnitRecord> | undefined>;
  record(access: 'write'): Promise<RecordStore<UnitRecord>>;
  /** This workspace's own record as a file, whatever its state: to be backed up, restored and saved from. */
  recordFile(): Promise<RecordFile>;
  /** Who types: `--as`, else asked; Failure naming `--as` without a terminal. */
  requireTypedBy(): Promise<string>;
  /** The same tool in another workspace; nothing of this one is read or written. */
  elsewhere(place: Elsewhere): Context;
}
