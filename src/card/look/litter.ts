// Litter: files and folders that operating systems leave on a card by themselves. Names are compared without
// case. What a folder of litter holds is litter too. A camera's folders (DCIM, MISC, PRIVATE) are not: they hold
// a person's pictures, so they are strays. So is anything of the right name but the wrong kind, a folder called
// `desktop.ini` for one: what a person may have made is never thrown away unseen.

import type { LitterKind } from './examined-card.ts';

interface LitterName {
  readonly kind: 'file' | 'folder';
  /** Some names are made in the root alone; elsewhere they may be a person's own. */
  readonly where: 'root' | 'anywhere';
  readonly litter: LitterKind;
}

const rootFile: LitterName = { kind: 'file', where: 'root', litter: 'litter' };
const rootFolder: LitterName = { kind: 'folder', where: 'root', litter: 'litter' };
/** Trash, and what repairs leave: a person's files may be within. */
const keptFolder: LitterName = { kind: 'folder', where: 'root', litter: 'keep' };
const file: LitterName = { kind: 'file', where: 'anywhere', litter: 'litter' };
const folder: LitterName = { kind: 'folder', where: 'anywhere', litter: 'litter' };

const names = new Map<string, LitterName>([
  // macOS
  ['.spotlight-v100', rootFolder],
  ['.fseventsd', rootFolder],
  ['.trashes', keptFolder],
  ['.temporaryitems', rootFolder],
  ['.documentrevisions-v100', rootFolder],
  ['.volumeicon.icns', rootFile],
  ['.apdisk', rootFile],
  ['.com.apple.timemachine.donotpresent', rootFile],
  ['.ds_store', file],
  ['.localized', file],
  // Windows
  ['system volume information', rootFolder],
  ['$recycle.bin', keptFolder],
  ['recycler', keptFolder],
  ['bootex.log', rootFile],
  ['readyboost.sfcache', rootFile],
  ['autorun.inf', rootFile],
  ['desktop.ini', file],
  ['thumbs.db', file],
  // Linux
  ['.trash', keptFolder],
  ['.xdg-volume-info', rootFile],
  ['lost+found', keptFolder],
  ['.directory', file],
  // Android
  ['lost.dir', keptFolder],
  ['android', keptFolder],
  ['.thumbnails', folder],
]);

/** Windows' repairs, and Linux' trash of the user of that number. */
const numbered = /^(?:found\.\d{3}|\.trash-\d{1,10})$/;

/** What the name says of an entry in a folder that is not litter itself. */
export function litterByName(name: string, isFolder: boolean, inRoot: boolean): LitterKind {
  const lower = name.toLowerCase();
  if (lower.startsWith('._') && !isFolder) return 'litter';
  const known = numbered.test(lower) ? keptFolder : names.get(lower);
  if (known === undefined || (known.kind === 'folder') !== isFolder) return 'no';
  return known.where === 'root' && !inRoot ? 'no' : known.litter;
}
