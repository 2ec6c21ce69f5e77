// Is this file a back-up at all? Asked before anything of it is copied or opened, from its first bytes alone: whether it
// is whole and sound is the check's question afterwards.

import { closeSync, openSync, readSync, statSync } from 'node:fs';
import { Failure } from '../../../words/failure.ts';
import { printable } from '../../../words/printable.ts';
import { fileFailure } from './file-failure.ts';
import { applicationId } from './migrations.ts';

/** Of the database file format (sqlite.org, "Database File Format", section 1.3). */
const headerBytes = 100;
const magic = 'SQLite format 3\0';
const applicationIdAt = 68;

/** What `record pack` writes begins so. */
const packetStart = '{"packet":"slotproof record"';

export function requireBackUp(source: string): void {
  const stats = statSync(source, { throwIfNoEntry: false });
  if (stats === undefined) throw refused(source, 'file-absent', 'There is no such file.');
  if (!stats.isFile()) throw refused(source, 'not-a-backup', 'This is no file.', 'a folder or a device');
  if (stats.size === 0) throw refused(source, 'not-a-backup', 'This file is empty, so it is no back-up.');
  const header = startOf(source);
  if (header.toString('latin1', 0, magic.length) === magic) {
    if (header.readUInt32BE(applicationIdAt) === applicationId) return;
    throw refused(source, 'not-a-backup', 'This file is no back-up.', 'a database of another program');
  }
  const start = header.toString('utf8').replace(/\0+$/, '');
  if (start.startsWith(packetStart)) {
    throw refused(
      source,
      'not-a-backup',
      'This file is no back-up.',
      'a packet',
      `Take it in: slotproof record take-in ${printable(source, 1000)}`,
    );
  }
  const isBlank = header.every((byte) => byte === 0);
  throw refused(
    source,
    'not-a-backup',
    'This file is no back-up, or its beginning is damaged.',
    isBlank ? 'zeros' : `begins with: ${printable(start, 40)}`,
    'Give the file that record backup wrote. If this is it, damaged: slotproof record salvage NEWFILE --with FILE reads it page by page.',
  );
}

function startOf(source: string): Buffer {
  const header = Buffer.alloc(headerBytes);
  try {
    const handle = openSync(source, 'r');
    try {
      readSync(handle, header, 0, headerBytes, 0);
    } finally {
      closeSync(handle);
    }
  } catch (error) {
    throw fileFailure(error, source);
  }
  return header;
}

function refused(
  where: string,
  code: string,
  summary: string,
  seen?: string,
  next = 'Give the file that record backup wrote.',
): Failure {
  return new Failure({
    code,
    exit: 2,
    summary,
    ...(seen === undefined ? {} : { seen }),
    expected: 'a file that slotproof record backup wrote',
    where,
    next,
  });
}
