import { describe, expect, it } from 'vitest';
import { baseName, sameDownloadName } from '../../../src/manifest/download-name.ts';
import { looksLikeWebPage } from '../../../src/manifest/web-page.ts';

const stated = 'HEARTH.TFW';

describe('a name is known again', () => {
  it.each([
    'HEARTH.TFW',
    'hearth.tfw',
    'Hearth (1).tfw',
    'HEARTH (12).TFW',
    'HEARTH(2).TFW',
    'HEARTH.TFW (1)',
    'HEARTH.TFW.part',
    'HEARTH.TFW.crdownload',
    'HEARTH.TFW.download',
    'HEARTH (1).TFW.part',
    'HEARTH.TFW.html',
    'HEARTH.TFW.htm',
    'HEARTH.TFW.txt',
    'HEARTH.TFW.zip',
    'HEARTH.TFW.tmp',
    'HEARTH.TFW.zip (3).part',
  ])('as %s', (name) => expect(sameDownloadName(name, stated)).toBe(true));

  it('also where the stated name ends like a download', () => {
    expect(sameDownloadName('hearth-90-2.6.0 (1).zip', 'hearth-90-2.6.0.zip')).toBe(true);
    expect(sameDownloadName('hearth-90-2.6.0.zip.part', 'hearth-90-2.6.0.zip')).toBe(true);
    expect(sameDownloadName('A (1).BIN', 'A (1).BIN')).toBe(true);
  });
});

describe('another name is not', () => {
  it.each([
    'HEARTH.BIN',
    'HEARTH2.TFW',
    'HEARTH',
    'XHEARTH.TFW',
    'HEARTH.TFW.exe',
    'HEARTH (x).TFW',
    'HEARTH (1234).TFW',
    '',
    '.part',
    'x'.repeat(10_000),
  ])('such as %j', (name) => expect(sameDownloadName(name, stated)).toBe(false));
});

it('the last part of a path is taken, from whatever system', () => {
  expect(baseName('/a/b/C.BIN')).toBe('C.BIN');
  expect(baseName('C:\\Users\\x\\C.BIN')).toBe('C.BIN');
  expect(baseName('C.BIN')).toBe('C.BIN');
});

describe('a web page', () => {
  const bytes = (text: string) => new TextEncoder().encode(text);
  it.each([
    '<!DOCTYPE html><html>',
    '\r\n  <!doctype HTML>\n',
    '<html lang="en">',
    '<HTML>',
    '\ufeff<!DOCTYPE html>',
    '<?xml version="1.0"?>\n<!DOCTYPE html PUBLIC "x">',
    '<!-- saved from x -->\n<html>',
    '<head><title>Log in</title>',
    '<script>location="/login"</script>',
  ])('is told: %j', (text) => expect(looksLikeWebPage(bytes(text))).toBe(true));

  it('is told in UTF-16, as some systems save it', () => {
    expect(looksLikeWebPage(new Uint8Array(Buffer.from('\ufeff<!DOCTYPE html>', 'utf16le')))).toBe(true);
  });

  it.each([
    '',
    'PK\u0003\u0004',
    'htmlfirmware',
    '<firmware>',
    '<htmlx>',
    '\u0000<html>',
    'see <html>',
    '<!DOCTYPE svg>',
  ])('is not seen in %j', (text) => expect(looksLikeWebPage(bytes(text))).toBe(false));

  it('is looked for in bounded time in hostile bytes', () => {
    for (const text of [
      '<!--'.repeat(300),
      '<!---->'.repeat(150),
      `<?xml${' '.repeat(1000)}`,
      ' '.repeat(1024),
    ]) {
      expect(looksLikeWebPage(bytes(text))).toBe(false);
    }
  });
});
