// Whether a file name is one that a reader of short names finds: plain upper-case 8.3, as a FAT directory
// entry holds it without long-name entries (Microsoft FAT specification, short directory entries).

const shortName = /^[A-Z0-9!#$%&'()@^_`{}~-]{1,8}(?:\.[A-Z0-9!#$%&'()@^_`{}~-]{1,3})?$/;

export function isPlainShortName(name: string): boolean {
  return shortName.test(name);
}
