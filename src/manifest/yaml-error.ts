// Turns what the YAML reader says of a text that is not well formed into a fault with one next step.

import type { YAMLError } from 'yaml';
import { printable } from '../words/printable.ts';
import type { PlacedFault } from './yaml-tokens.ts';

const nextByCode: Readonly<Record<string, string>> = {
  TAB_AS_INDENT: 'Indent with blanks, not with tabs.',
  BAD_INDENT: 'Check the indentation of this line, and that every bracket is closed.',
  BLOCK_AS_IMPLICIT_KEY: "Put text that holds ': ' in quotes, or check the indentation.",
  BLOCK_IN_FLOW: 'Close the bracket before this line, or write the value in brackets too.',
  MISSING_CHAR: 'Close the bracket or the quotes, or put the missing comma or colon.',
  BAD_SCALAR_START: 'Put this text in quotes.',
  BAD_DQ_ESCAPE: 'Use single quotes, in which a backslash is only a backslash.',
  MULTILINE_IMPLICIT_KEY: 'Check quotes and indentation: a key ends on the line where it begins.',
  RESOURCE_EXHAUSTION: 'Check brackets and indentation here.',
};

export function yamlError(error: YAMLError): PlacedFault {
  return {
    code: 'schema',
    severity: 'stop',
    offset: error.pos[0],
    summary: 'This is not well-formed YAML.',
    seen: printable(error.message, 160),
    expected: 'YAML 1.2',
    next: nextByCode[error.code] ?? 'Check quotes, brackets and indentation here.',
  };
}
