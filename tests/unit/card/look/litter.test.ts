// Which names are litter, where, and as what; and which are a person's own.

import { expect, test } from 'vitest';
import { litterByName } from '../../../../src/card/look/litter.ts';

const rootFolders = [
  '.Spotlight-V100',
  '.fseventsd',
  '.TemporaryItems',
  '.DocumentRevisions-V100',
  'System Volume Information',
];
const keptFolders = [
  '.Trashes',
  '$RECYCLE.BIN',
  'RECYCLER',
  '.Trash',
  '.Trash-1000',
  'FOUND.000',
  'FOUND.123',
  'lost+found',
  'LOST.DIR',
  'Android',
];
const rootFiles = [
  '.VolumeIcon.icns',
  '.apdisk',
  '.com.apple.timemachine.donotpresent',
  'BOOTEX.LOG',
  'ReadyBoost.sfcache',
  'autorun.inf',
  '.xdg-volume-info',
];
const files = ['.DS_Store', '._RILL40.FWU', '._', '.localized', 'desktop.ini', 'Thumbs.db', '.directory'];

test.each(rootFolders)('%s: in the root alone', (name) => {
  expect(litterByName(name, true, true)).toBe('litter');
  expect(litterByName(name.toUpperCase(), true, true)).toBe('litter');
  expect(litterByName(name, true, false)).toBe('no');
  expect(litterByName(name, false, true)).toBe('no');
});

test.each(keptFolders)('%s: may hold a person’s files', (name) => {
  expect(litterByName(name, true, true)).toBe('keep');
  expect(litterByName(name.toLowerCase(), true, true)).toBe('keep');
  expect(litterByName(name, true, false)).toBe('no');
  expect(litterByName(name, false, true)).toBe('no');
});

test.each(rootFiles)('%s: a file in the root', (name) => {
  expect(litterByName(name, false, true)).toBe('litter');
  expect(litterByName(name, false, false)).toBe('no');
  expect(litterByName(name, true, true)).toBe('no');
});

test.each(files)('%s: a file anywhere', (name) => {
  expect(litterByName(name, false, true)).toBe('litter');
  expect(litterByName(name.toUpperCase(), false, false)).toBe('litter');
  expect(litterByName(name, true, false), 'a folder of that name is a person’s').toBe('no');
});

test('.thumbnails: a folder anywhere', () => {
  expect(litterByName('.thumbnails', true, false)).toBe('litter');
  expect(litterByName('.thumbnails', false, false)).toBe('no');
});

test.each([
  'DCIM',
  'MISC',
  'PRIVATE',
  'FOUND.0000',
  'FOUND.00A',
  '.Trash-',
  '.Trash-x',
  'README.TXT',
  '_.DS_Store',
  'constructor',
  '__proto__',
])('%s is a person’s own', (name) => {
  for (const isFolder of [true, false]) expect(litterByName(name, isFolder, true)).toBe('no');
});
