// Reads a spoken code by its published layout, with big integers and node's own HMAC: written apart from the code
// under test, and sharing nothing with it. Slow and plain.

import { createHash, createHmac } from 'node:crypto';

const letters = '23456789CDFHJKLMNPRTWXY';

export interface JudgedCode {
  /** Both sums over all characters are 0 modulo 23. */
  readonly checksAgree: boolean;
  /** row, outcome, left, lights, kind of version */
  readonly head: readonly number[];
  readonly sheetAgrees: boolean;
  readonly keyedAgrees: boolean;
}

export function hmac(key: string, purpose: string, text: string): Buffer {
  return createHmac('sha256', Buffer.from(key, 'hex'))
    .update(`slotproof outcome ${purpose} 1\n${text}`, 'utf8')
    .digest();
}

function lowDigits(bytes: Buffer, count: number): string {
  let number = BigInt(`0x${bytes.toString('hex')}`) % 23n ** BigInt(count);
  let text = '';
  for (let i = 0; i < count; i++) {
    text = letters[Number(number % 23n)] + text;
    number /= 23n;
  }
  return text;
}

/** `contentLength`: symbols before the keyed check. */
export function judgeCode(
  code: string,
  {
    sheet,
    key,
    serial,
    contentLength,
  }: { sheet: string; key: string; serial: string; contentLength: number },
): JudgedCode {
  const plain = code.replaceAll('-', '');
  const values = [...plain].map((letter) => BigInt(letters.indexOf(letter)));
  const weighted = values.reduce((sum, value, i) => sum + value * 5n ** BigInt(i), 0n);
  let head = values.slice(0, 5).reduce((sum, value) => sum * 23n + value, 0n);
  const fields: number[] = [];
  for (const size of [4n, 102n, 5n, 16n, 65n]) {
    fields.unshift(Number(head % size));
    head /= size;
  }
  const content = values.slice(0, contentLength).join(' ');
  const keyed = plain.slice(contentLength, -2);
  return {
    checksAgree: values.reduce((sum, value) => sum + value, 0n) % 23n === 0n && weighted % 23n === 0n,
    head: fields,
    sheetAgrees:
      plain.slice(5, 7) === lowDigits(createHash('sha256').update(`slotproof sheet\n${sheet}`).digest(), 2),
    keyedAgrees: keyed === lowDigits(hmac(key, 'code', `${sheet}\n${serial}\n${content}`), keyed.length),
  };
}
