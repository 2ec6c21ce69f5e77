// Writes the smallest kind of zip archive: members stored as they are, nothing packed, one fixed time, so that
// equal inputs give equal bytes (PKWARE APPNOTE 4.3.7, 4.3.12, 4.3.16). For demonstration files; reads nothing.

import { crc32 } from './crc32.ts';
import { encodeFields, type FieldTable } from './fields.ts';

export interface ZipMember {
  /** With forward slashes; ASCII. */
  readonly name: string;
  readonly bytes: Uint8Array;
}

const localHeaderBytes = 30;
const centralHeaderBytes = 46;
const endBytes = 22;

/** APPNOTE 4.3.7. */
const localHeader = {
  signature: { offset: 0, width: 4 },
  versionNeeded: { offset: 4, width: 2 },
  time: { offset: 10, width: 2 },
  date: { offset: 12, width: 2 },
  crc32: { offset: 14, width: 4 },
  packedBytes: { offset: 18, width: 4 },
  unpackedBytes: { offset: 22, width: 4 },
  nameBytes: { offset: 26, width: 2 },
} as const satisfies FieldTable;

/** APPNOTE 4.3.12. */
const centralHeader = {
  signature: { offset: 0, width: 4 },
  versionMadeBy: { offset: 4, width: 2 },
  versionNeeded: { offset: 6, width: 2 },
  time: { offset: 12, width: 2 },
  date: { offset: 14, width: 2 },
  crc32: { offset: 16, width: 4 },
  packedBytes: { offset: 20, width: 4 },
  unpackedBytes: { offset: 24, width: 4 },
  nameBytes: { offset: 28, width: 2 },
  localHeaderOffset: { offset: 42, width: 4 },
} as const satisfies FieldTable;

/** APPNOTE 4.3.16. */
const endRecord = {
  signature: { offset: 0, width: 4 },
  membersHere: { offset: 8, width: 2 },
  membersTotal: { offset: 10, width: 2 },
  directoryBytes: { offset: 12, width: 4 },
  directoryOffset: { offset: 16, width: 4 },
} as const satisfies FieldTable;

/** `day` is `YYYY-MM-DD`, the date that every member gets, at noon. */
export function encodeStoredZip(members: readonly ZipMember[], day: string): Uint8Array {
  const [year = 1980, month = 1, dayOfMonth = 1] = day.split('-').map(Number);
  const date = ((year - 1980) << 9) | (month << 5) | dayOfMonth;
  const time = 12 << 11;
  const names = members.map(({ name }) => new TextEncoder().encode(name));
  const sizes = members.map(({ bytes }, i) => ({ name: names[i]!.length, content: bytes.length }));
  const contentBytes = sizes.reduce((sum, { name, content }) => sum + localHeaderBytes + name + content, 0);
  const directoryBytes = sizes.reduce((sum, { name }) => sum + centralHeaderBytes + name, 0);
  const zip = new Uint8Array(contentBytes + directoryBytes + endBytes);

  let at = 0;
  let directoryAt = contentBytes;
  members.forEach(({ bytes }, i) => {
    const name = names[i]!;
    const common = {
      versionNeeded: 10,
      time,
      date,
      crc32: crc32(bytes),
      packedBytes: bytes.length,
      unpackedBytes: bytes.length,
      nameBytes: name.length,
    };
    encodeFields(
      centralHeader,
      { ...common, signature: 0x02014b50, versionMadeBy: 10, localHeaderOffset: at },
      zip,
      directoryAt,
    );
    zip.set(name, directoryAt + centralHeaderBytes);
    directoryAt += centralHeaderBytes + name.length;
    encodeFields(localHeader, { ...common, signature: 0x04034b50 }, zip, at);
    zip.set(name, at + localHeaderBytes);
    zip.set(bytes, at + localHeaderBytes + name.length);
    at += localHeaderBytes + name.length + bytes.length;
  });
  encodeFields(
    endRecord,
    {
      signature: 0x06054b50,
      membersHere: members.length,
      membersTotal: members.length,
      directoryBytes,
      directoryOffset: contentBytes,
    },
    zip,
    directoryAt,
  );
  return zip;
}
