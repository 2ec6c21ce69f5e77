// Makes any text safe to stand in an HTML page, between tags or within a quoted attribute. What cannot be
// printed is shown as `printable` shows it.

import { printable } from './printable.ts';

const entities: Readonly<Record<string, string>> = {
  '&': '&amp;',
  '<': '&lt;',
  '>': '&gt;',
  '"': '&quot;',
  "'": '&#39;',
};

export function htmlText(text: string, maxLength = 2000): string {
  return printable(text, maxLength).replace(/[&<>"']/g, (character) => entities[character] ?? '');
}
