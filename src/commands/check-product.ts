// The judgement over a product beyond its structure: the check for gaps. It is joined here, since the manifest
// folder lies below the procedure folder and cannot ask for it itself. Loaded wherever a catalogue is made, so
// that a product with a gap in its procedure is never used.

import type { ProductCheck } from '../manifest/build-catalogue.ts';
import { checkGaps } from '../procedure/check-gaps.ts';

export const checkProduct: ProductCheck = (product) => checkGaps(product).findings;
