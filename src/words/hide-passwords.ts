// Takes passwords out of addresses that somebody typed, before a text that repeats them is shown. The last guard: what
// takes an address refuses one with a password without showing it.

const inAddress = /([a-z][a-z0-9+.-]*:\/\/[^\s:@/?#]*):[^\s@]*@/gi;
const asSetting = /\b((?:ssl)?password=)[^\s&'"]*/gi;

export function hidePasswords(text: string): string {
  return text.replace(inAddress, '$1:…@').replace(asSetting, '$1…');
}
