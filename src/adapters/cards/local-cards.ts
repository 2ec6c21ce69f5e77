// Cards by path, whatever stands there: a device is opened as a device, all else as a card image file, which says
// itself what it does not take.

import { statSync } from 'node:fs';
import type { Cards } from '../../ports/blocks.ts';
import { cardDevices } from './card-devices.ts';
import { cardImages } from './card-images.ts';

/** As Windows names a whole drive; it has no such file that could be asked. */
const windowsDevice = /^\\\\[.?]\\(PHYSICALDRIVE\d+|[A-Z]:)$/i;

function cardsAt(path: string): Cards {
  if (windowsDevice.test(path)) return cardDevices;
  const stat = statSync(path, { throwIfNoEntry: false });
  return stat?.isBlockDevice() || stat?.isCharacterDevice() || (stat === undefined && /^\/dev\//.test(path))
    ? cardDevices
    : cardImages;
}

export const localCards: Cards = {
  exists: (path) => cardsAt(path).exists(path),
  isWriteProtected: (path) => cardsAt(path).isWriteProtected(path),
  openToRead: (path) => cardsAt(path).openToRead(path),
  openToWrite: (path) => cardsAt(path).openToWrite(path),
  create: (path, sizeBytes) => cardsAt(path).create(path, sizeBytes),
  identify: (path) => cardsAt(path).identify(path),
};
