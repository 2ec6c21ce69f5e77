// The files that an audit is asked to write. Settled before anything else is done: an earlier audit may be
// replaced, anything else that lies there is left alone.

import type { Audit } from '../fleet/audit.ts';
import { auditCsvHeader, renderAuditCsv } from '../fleet/audit-csv.ts';
import { auditHtmlStart, renderAuditHtml } from '../fleet/audit-html.ts';
import type { AuditTextFacts } from '../fleet/audit-text.ts';
import type { Files } from '../ports/files.ts';
import { Failure } from '../words/failure.ts';
import type { OptionValues } from './command.ts';
import { requireFolderOf } from './new-file.ts';

export interface AuditFiles {
  readonly csv: string | undefined;
  readonly html: string | undefined;
  write(audit: Audit, facts: AuditTextFacts): void;
}

export function auditFiles(files: Files, options: OptionValues): AuditFiles {
  const csv = placeOf(files, options.csv, '--csv', auditCsvHeader);
  const html = placeOf(files, options.html, '--html', auditHtmlStart);
  if (csv !== undefined && csv === html) throw taken(csv, '--html', 'Give --csv and --html different names.');
  return {
    csv,
    html,
    write(audit, facts) {
      if (csv !== undefined) files.write(csv, renderAuditCsv(audit.rows, facts.dayOf));
      if (html !== undefined) files.write(html, renderAuditHtml(audit, facts));
    },
  };
}

function placeOf(
  files: Files,
  option: OptionValues[string],
  flag: string,
  startsWith: string,
): string | undefined {
  if (typeof option !== 'string') return undefined;
  const path = files.absolute(option);
  const there = files.facts(path);
  if (there === undefined) {
    requireFolderOf(files, path);
    return path;
  }
  if (there.kind === 'file' && (there.sizeBytes === 0 || beginsWith(files, path, startsWith))) return path;
  throw taken(path, flag, 'Give another name, or move what lies there.');
}

function beginsWith(files: Files, path: string, start: string): boolean {
  for (const chunk of files.chunks(path)) {
    const text = new TextDecoder().decode(chunk.subarray(0, 4 * start.length));
    return text.startsWith(start);
  }
  return false;
}

function taken(path: string, flag: string, next: string): Failure {
  return new Failure({
    code: 'file-exists',
    exit: 2,
    summary: 'Something else lies there; only an earlier audit is replaced.',
    where: `${flag} ${path}`,
    next,
  });
}
