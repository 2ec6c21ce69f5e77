// Tells a web page by its first bytes: what a browser saves when the maker's site asks to log in, or says that
// the file is gone. Looks at text only; a firmware image that begins like a page does not exist.

const blank = /^[\ufeff\s]+/;
const opening = /^<(?:!doctype\s+html|html|head|body|title|script|meta)[\s>/]/i;
const examinedBytes = 1024;

export function looksLikeWebPage(head: Uint8Array): boolean {
  const encoding = head[0] === 0xff && head[1] === 0xfe ? 'utf-16le' : 'utf-8';
  let text = new TextDecoder(encoding).decode(head.subarray(0, examinedBytes)).replace(blank, '');
  // What may stand before a page: an XML declaration, comments. Each round takes some of the text away.
  for (const [begin, end] of [['<?xml', '?>'] as const, ...comments]) {
    if (!text.startsWith(begin)) continue;
    const at = text.indexOf(end, begin.length);
    if (at < 0) return false;
    text = text.slice(at + end.length).replace(blank, '');
  }
  return opening.test(text);
}

const comments = Array.from({ length: 8 }, () => ['<!--', '-->'] as const);
