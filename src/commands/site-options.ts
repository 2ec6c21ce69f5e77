// What can be said of a site on the command line: the texts of its address, whom to call, and how to get in.

import { siteFields } from '../fleet/site-details.ts';
import type { OptionValues } from './command.ts';
import { textOption } from './option-text.ts';

const maxLength = 500;

export function siteDetailOptions(options: OptionValues): Record<string, string> {
  const said: Record<string, string> = {};
  for (const field of siteFields) {
    const text = textOption(options, field, `--${field}`, maxLength);
    if (text !== undefined) said[field] = text;
  }
  return said;
}
