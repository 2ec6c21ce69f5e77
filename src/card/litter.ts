// Litter: files and folders that operating systems leave on a card by themselves. Names are compared without
// case. What a folder of litter holds is litter too. A camera's folders (DCIM, MISC, PRIVATE) are not: they hold
// a person's pictures, so they are strays.

import type { LitterKind } from './examined-card.ts';

/** Only in the root: the systems put them nowhere else, and elsewhere such a name may be a person's own. */
const rootOnly: Readonly<Record<string, LitterKind>> = {
  // macOS
  '.spotlight-v100': 'litter',
  '.fseventsd': 'litter',
  '.trashes': 'keep',
  '.temporaryitems': 'litter',
  '.documentrevisions-v100': 'litter',
  '.volumeicon.icns': 'litter',
  '.apdisk': 'litter',
  '.com.apple.timemachine.donotpresent': 'litter',
  // Windows
  'system volume information': 'litter',
  '$recycle.bin': 'keep',
  recycler: 'keep',
  'bootex.log': 'litter',
  'readyboost.sfcache': 'litter',
  'autorun.inf': 'litter',
  // Linux
  '.trash': 'keep',
  '.xdg-volume-info': 'litter',
  'lost+found': 'keep',
  // Android
  'lost.dir': 'keep',
  android: 'keep',
};

const anywhere: Readonly<Record<string, LitterKind>> = {
  '.ds_store': 'litter',
  '.localized': 'litter',
  'desktop.ini': 'litter',
  'thumbs.db': 'litter',
  '.directory': 'litter',
  '.thumbnails': 'litter',
};

const foundFolder = /^found\.\d{3}$/;
const trashOfUser = /^\.trash-\d{1,10}$/;

/** What the name alone says of an entry in a folder that is not litter itself. */
export function litterByName(name: string, inRoot: boolean): LitterKind {
  const lower = name.toLowerCase();
  if (lower.startsWith('._')) return 'litter';
  const known = Object.hasOwn(anywhere, lower) ? anywhere[lower] : undefined;
  if (known !== undefined) return known;
  if (!inRoot) return 'no';
  if (foundFolder.test(lower) || trashOfUser.test(lower)) return 'keep';
  return Object.hasOwn(rootOnly, lower) ? (rootOnly[lower] as LitterKind) : 'no';
}
