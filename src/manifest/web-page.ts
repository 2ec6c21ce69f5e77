// Tells a web page by its first bytes: what a browser saves when the maker's site asks to log in, or says that
// the file is gone. Looks at text only; a firmware image that begins like a page does not exist.

const opening =
  /^(?:<\?xml[^>]{0,200}>\s*)?(?:<!--[\s\S]{0,600}?-->\s*)*<(?:!doctype\s+html|html|head|body|title|script|meta)[\s>/]/i;

export function looksLikeWebPage(head: Uint8Array): boolean {
  const wide = head[0] === 0xff && head[1] === 0xfe ? 'utf-16le' : 'utf-8';
  const text = new TextDecoder(wide).decode(head.subarray(0, 1024)).replace(/^[\ufeff\s]+/, '');
  return opening.test(text);
}
