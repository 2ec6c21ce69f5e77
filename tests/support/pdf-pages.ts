// A PDF as stock tools see it: its pages' text in the order in which it is written, what pdfinfo says of it, and a
// page as a picture for a reader of QR codes.

import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

function within<T>(bytes: Uint8Array, use: (path: string, folder: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'pdf-pages-'));
  try {
    const path = join(folder, 'pages.pdf');
    writeFileSync(path, bytes);
    return use(path, folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const run = (tool: string, ...args: string[]) =>
  execFileSync(tool, args, { encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });

export function pdfText(bytes: Uint8Array): string[] {
  return within(bytes, (path) => run('pdftotext', '-raw', path, '-').split('\f').slice(0, -1));
}

export function pdfInfo(bytes: Uint8Array): string {
  return within(bytes, (path) => run('pdfinfo', path));
}

export function codeOnPage(bytes: Uint8Array, dotsPerInch = 150): string {
  return within(bytes, (path, folder) => {
    run(
      'pdftoppm',
      '-r',
      String(dotsPerInch),
      '-f',
      '1',
      '-l',
      '1',
      '-png',
      '-singlefile',
      path,
      join(folder, 'page'),
    );
    return run('zbarimg', '--raw', '-q', join(folder, 'page.png')).trim();
  });
}
