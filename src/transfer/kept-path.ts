// Names for copies of a card's files on this computer. What a card calls its files may be anything: every part
// is made harmless on every system, nothing leads out of the folder, and no two files share a name, with or
// without regard to case. Makes names only; touches no disk.

const maxPartBytes = 120;
const maxDepth = 16;
/** What some system refuses or reads as something else: separators, wildcards, control and direction marks. */
const unsafe =
  /[\u0000-\u001f\u007f-\u009f"*/:<>?\\|\u061c\u200b-\u200f\u2028-\u202e\u2060-\u2069\ufeff\ufff9-\uffff]|\p{Surrogate}/gu;
/** Names that Windows keeps for devices, with any ending. */
const device =
  /^(?:con|prn|aux|nul|com[0-9\u00b9\u00b2\u00b3]|lpt[0-9\u00b9\u00b2\u00b3]|conin\$|conout\$)(?=\.|$)/i;

const utf8 = new TextEncoder();
const bytesOf = (text: string) => utf8.encode(text).length;

function shortened(text: string): string {
  const dot = text.lastIndexOf('.');
  const ending = dot > 0 && bytesOf(text.slice(dot)) <= 20 ? text.slice(dot) : '';
  let base = [...text.slice(0, text.length - ending.length)];
  while (bytesOf(base.join('')) > maxPartBytes - bytesOf(ending)) base = base.slice(0, -1);
  return `${base.join('')}${ending}`;
}

/** One part of a path, harmless on every system and never empty. */
export function harmlessName(name: string): string {
  const cut = bytesOf(name) > maxPartBytes ? shortened(name) : name;
  // A dot or blank at the end is dropped by Windows, and `.` and `..` mean folders everywhere.
  const clean = cut.replace(unsafe, '_').replace(/[. ]+$/, (tail) => '_'.repeat(tail.length));
  if (clean === '') return '_';
  return device.test(clean) || clean.startsWith(' ') ? `_${clean}` : clean;
}

function withNumber(name: string, number: number): string {
  const dot = name.lastIndexOf('.');
  const at = dot > 0 ? dot : name.length;
  return `${name.slice(0, at)} (${number})${name.slice(at)}`;
}

export interface KeptPaths {
  /** A path of its own for each file that is asked for, with `/` between its parts. */
  next(parts: readonly string[]): string;
}

export function keptPaths(): KeptPaths {
  /** Every name that is given, by its folder and without case; true where it is a folder. */
  const given = new Map<string, boolean>();
  const folders = new Map<string, string>();
  const key = (path: string) => path.normalize('NFC').toLowerCase();

  /** By plain path: the next number to try. A hostile card may have 65,000 names that all come out the same. */
  const numbers = new Map<string, number>();

  function unused(folder: string, name: string): string {
    const plain = key(`${folder}${name}`);
    for (let number = numbers.get(plain) ?? 1; ; number++) {
      const path = `${folder}${number === 1 ? name : withNumber(name, number)}`;
      if (given.has(key(path))) continue;
      numbers.set(plain, number + 1);
      return path;
    }
  }

  function folderFor(parts: readonly string[]): string {
    if (parts.length === 0) return '';
    const asNamed = JSON.stringify(parts);
    const known = folders.get(asNamed);
    if (known !== undefined) return known;
    const path = unused(folderFor(parts.slice(0, -1)), harmlessName(parts.at(-1) ?? ''));
    given.set(key(path), true);
    folders.set(asNamed, `${path}/`);
    return `${path}/`;
  }

  return {
    next(parts) {
      // Deeper folders than any system need be able to hold: what lies between is left out.
      const above = parts.slice(0, -1);
      const folder = folderFor(above.length > maxDepth ? [...above.slice(0, maxDepth - 1), 'deeper'] : above);
      const path = unused(folder, harmlessName(parts.at(-1) ?? ''));
      given.set(key(path), false);
      return path;
    },
  };
}

/** `2026-11-24T225803Z`: sorts by time and is a name on every system. */
export function timeName(atMs: number): string {
  return new Date(atMs)
    .toISOString()
    .replace(/\.\d+Z$/, 'Z')
    .replaceAll(':', '');
}
