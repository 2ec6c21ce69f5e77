// What the text of a table may be declared to be in; labels of the WHATWG Encoding Standard.

export const tableEncodings = [
  'utf-8',
  'utf-16le',
  'utf-16be',
  'windows-1252',
  'iso-8859-15',
  'macintosh',
] as const;
export type TableEncoding = (typeof tableEncodings)[number];
