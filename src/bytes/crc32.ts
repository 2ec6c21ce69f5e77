// CRC-32 as in ISO-HDLC, zip and Ethernet: polynomial 04C11DB7 reflected, initial value and final XOR all
// ones. Eight table look-ups a round of eight bytes, because an image may be large and this is plain code.

const reflectedPolynomial = 0xedb88320;

/** tables[k][b]: the effect of byte b once k further zero bytes have gone by. */
const tables: readonly Uint32Array[] = makeTables();

function makeTables(): Uint32Array[] {
  const made = Array.from({ length: 8 }, () => new Uint32Array(256));
  for (let byte = 0; byte < 256; byte++) {
    let value = byte;
    for (let bit = 0; bit < 8; bit++) value = value & 1 ? (value >>> 1) ^ reflectedPolynomial : value >>> 1;
    made[0]![byte] = value;
  }
  for (let k = 1; k < 8; k++) {
    for (let byte = 0; byte < 256; byte++) {
      const before = made[k - 1]![byte]!;
      made[k]![byte] = (before >>> 8) ^ made[0]![before & 0xff]!;
    }
  }
  return made;
}

/** Goes on from `before` (0 at the start); the result for all bytes so far, as an unsigned number. */
export function crc32(bytes: Uint8Array, before = 0): number {
  const [t0, t1, t2, t3, t4, t5, t6, t7] = tables as [
    Uint32Array,
    Uint32Array,
    Uint32Array,
    Uint32Array,
    Uint32Array,
    Uint32Array,
    Uint32Array,
    Uint32Array,
  ];
  let crc = ~before;
  let i = 0;
  for (const end = bytes.length - 7; i < end; i += 8) {
    const low = crc ^ (bytes[i]! | (bytes[i + 1]! << 8) | (bytes[i + 2]! << 16) | (bytes[i + 3]! << 24));
    crc =
      t7[low & 0xff]! ^
      t6[(low >>> 8) & 0xff]! ^
      t5[(low >>> 16) & 0xff]! ^
      t4[low >>> 24]! ^
      t3[bytes[i + 4]!]! ^
      t2[bytes[i + 5]!]! ^
      t1[bytes[i + 6]!]! ^
      t0[bytes[i + 7]!]!;
  }
  for (; i < bytes.length; i++) crc = (crc >>> 8) ^ t0[(crc ^ bytes[i]!) & 0xff]!;
  return ~crc >>> 0;
}
