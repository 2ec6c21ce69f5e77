// What a file is that was taken for a packet: from its first bytes, so that the person is told what to do with it. Only
// what people do hand in by mistake is known here; the rest is told by its first line.

import { looksLikeWebPage } from '../../manifest/web-page.ts';

export interface TakenForPacket {
  readonly seen: string;
  readonly next: string;
}

/** As `record pack` begins. */
const start = '{"packet":"slotproof record"';
const again =
  'Ask for it again, as a file on a stick or an attachment: as it is nothing of it can be proved.';

export function takenForPacket(head: Uint8Array): TakenForPacket | undefined {
  const begin = new TextDecoder('latin1').decode(head.subarray(0, 4096));
  if (begin.startsWith('SQLite format 3\0')) {
    return {
      seen: 'a database',
      next: 'A back-up is put back with slotproof record restore; to hand on what is in it, run record pack where it is in use.',
    };
  }
  if (begin.startsWith('PK\x03\x04') || begin.startsWith('\x1f\x8b')) {
    return { seen: 'a packed file (an archive)', next: 'Unpack it, and take in the packet that is in it.' };
  }
  if (looksLikeWebPage(head)) {
    return { seen: 'a web page', next: 'Sign in where the packet lies, and download it again.' };
  }
  const text = begin.replace(/^(?:\xef\xbb\xbf|\xff\xfe|\xfe\xff)/, '').replaceAll('\0', '');
  if (text.startsWith(start)) {
    return text.length < begin.length || /\r\n/.test(text)
      ? { seen: 'a packet that was saved anew as text on its way', next: again }
      : { seen: 'a packet whose first line is damaged', next: again };
  }
  if (text.length > 1 && start.startsWith(text)) {
    return { seen: 'the first bytes of a packet', next: 'Copy it again from the stick or the mail.' };
  }
  const [line = ''] = text.split(/[\r\n]/, 1);
  if (/[,;\t]/.test(line) && /\bserial\b/i.test(line)) {
    return { seen: 'a table of units', next: 'Take it in with slotproof units import.' };
  }
  return undefined;
}
