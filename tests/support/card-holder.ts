// Opens the card image file that it is given to write, says so, and holds it until it is killed.

import { cardImages } from '../../src/adapters/cards/card-images.ts';

cardImages.openToWrite(process.argv[2] ?? '');
process.stdout.write('held\n');
setInterval(() => {}, 60_000);
