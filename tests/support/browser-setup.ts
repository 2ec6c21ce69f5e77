// The browser of the long tier, from Debian's packages as the other judges are. The default tier does without.

import { requireTools } from './judges-setup.ts';

export default function setup(): void {
  requireTools({ chromium: 'chromium' });
}
