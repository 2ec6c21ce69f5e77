// A folder with something wrong in its entries, as a finding: the first few of what is wrong, and how much more.

import type { Finding } from '../../words/finding.ts';
import { formatBytes } from '../../words/size.ts';
import { finding } from '../check/finding-codes.ts';
import type { FolderNode } from './examined-card.ts';

export function damagedFolder(folder: FolderNode, problems: readonly string[]): Finding {
  const more = problems.length > 3 ? `; and ${formatBytes(problems.length - 3)} more` : '';
  return finding('directory-damaged', {
    summary: 'A folder on the card is damaged.',
    seen: problems.slice(0, 3).join('; ') + more,
    where: folder.path === '' ? 'the root folder' : folder.path,
    next: 'Run prepare with --fresh: it keeps what can be read and lays the card out anew.',
  });
}
