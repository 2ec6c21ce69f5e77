// Do the check characters at the end of a serial agree with the rest of it? Luhn (ISO/IEC 7812-1, annex B) and
// the pure systems of ISO/IEC 7064: MOD 11-2, MOD 37-2, MOD 97-10. Characters that a scheme does not know are
// skipped. It never says what the right check character would be: a person would "repair" a mistyped serial so.

export const checkSchemes = ['none', 'luhn', 'mod-11-2', 'mod-37-2', 'mod-97-10'] as const;
export type CheckScheme = (typeof checkSchemes)[number];

/** True where `serial` holds the scheme's characters and its check part, which stands last, agrees. */
export function checkCharactersAgree(scheme: CheckScheme, serial: string): boolean {
  switch (scheme) {
    case 'none':
      return true;
    case 'luhn':
      return luhnAgrees(digitsOf(serial));
    case 'mod-11-2':
      return pureSystemAgrees(serial.endsWith('X') ? [...digitsOf(serial), 10] : digitsOf(serial), 11);
    case 'mod-37-2':
      return pureSystemAgrees(
        serial.endsWith('*') ? [...alphanumericsOf(serial), 36] : alphanumericsOf(serial),
        37,
      );
    case 'mod-97-10':
      return mod97Agrees(digitsOf(serial));
  }
}

/** ISO/IEC 7812-1: every second digit from the right doubled, its digits added; the sum is a multiple of ten. */
function luhnAgrees(digits: readonly number[]): boolean {
  if (digits.length < 2) return false;
  let sum = 0;
  for (let fromRight = 0; fromRight < digits.length; fromRight++) {
    const digit = digits[digits.length - 1 - fromRight]!;
    const weighted = fromRight % 2 === 1 ? digit * 2 : digit;
    sum += weighted > 9 ? weighted - 9 : weighted;
  }
  return sum % 10 === 0;
}

/** ISO/IEC 7064, pure systems of radix 2: the values, weighted 2^i from the right, add up to 1 modulo `modulus`. */
function pureSystemAgrees(values: readonly number[], modulus: 11 | 37): boolean {
  if (values.length < 2) return false;
  let remainder = 0;
  for (const value of values) remainder = (remainder * 2 + value) % modulus;
  return remainder === 1;
}

/** ISO/IEC 7064 MOD 97-10: two check digits last; the whole number leaves 1 when divided by 97. */
function mod97Agrees(digits: readonly number[]): boolean {
  if (digits.length < 3) return false;
  let remainder = 0;
  for (const digit of digits) remainder = (remainder * 10 + digit) % 97;
  return remainder === 1;
}

function digitsOf(serial: string): number[] {
  return (serial.match(/[0-9]/g) ?? []).map(Number);
}

/** 0-9 as themselves, A-Z as 10 to 35, small letters like capitals. */
function alphanumericsOf(serial: string): number[] {
  return (serial.match(/[0-9A-Za-z]/g) ?? []).map((character) => Number.parseInt(character, 36));
}
