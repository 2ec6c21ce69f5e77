// The option of every command that can look at the office's server itself.

import type { OptionSpec } from '../command.ts';

/** The composer opens it in place of the workspace's own record. */
export const recordOption: OptionSpec = {
  flags: '--record <url>',
  summary: "on the office's server itself: postgresql://USER@HOST/DATABASE (see record sync --help)",
};
