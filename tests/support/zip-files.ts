// Zip archives made by stock tools: Python's zipfile for full control over members, Info-ZIP for passwords.

import { execFileSync } from 'node:child_process';

export interface MadeMember {
  readonly name: string;
  readonly bytes: Uint8Array;
  /** `stored`, `deflated` or `bzip2`; deflated unless told. */
  readonly method?: 'stored' | 'deflated' | 'bzip2';
}

const script = `
import sys, json, zipfile, base64
path, members = sys.argv[1], json.load(sys.stdin)
methods = {'stored': zipfile.ZIP_STORED, 'deflated': zipfile.ZIP_DEFLATED, 'bzip2': zipfile.ZIP_BZIP2}
import warnings
warnings.simplefilter('ignore')
with zipfile.ZipFile(path, 'w') as z:
    for m in members:
        info = zipfile.ZipInfo('x', (2026, 8, 31, 12, 0, 0))
        info.filename = m['name']
        info.compress_type = methods[m['method']]
        z.writestr(info, base64.b64decode(m['bytes']))
`;

export function makeZip(path: string, members: readonly MadeMember[]): void {
  const input = JSON.stringify(
    members.map(({ name, bytes, method = 'deflated' }) => ({
      name,
      method,
      bytes: Buffer.from(bytes).toString('base64'),
    })),
  );
  execFileSync('python3', ['-c', script, path], { input });
}

/** `files` lie in `folder`; the archive is made there too. */
export function makeLockedZip(
  folder: string,
  archive: string,
  files: readonly string[],
  password: string,
): void {
  execFileSync('zip', ['-q', '-P', password, archive, ...files], { cwd: folder });
}
