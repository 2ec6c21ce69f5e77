// `audit`: which units still need work on a day, how each release fares, when the rest is likely to be done, and
// what became of a list of visits. Reads the record and the manifests; writes only the files that it is asked
// for.

import { auditFleet, outstanding } from '../fleet/audit.ts';
import { type AuditTextFacts, renderAuditText, renderNoUnits } from '../fleet/audit-text.ts';
import { routesOn } from '../fleet/routes.ts';
import { manifestNewsMs } from '../manifest/manifest-news.ts';
import { renderFindings } from '../ui/finding-text.ts';
import type { ExitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { auditFiles } from './audit-files.ts';
import { auditJson } from './audit-json.ts';
import { checkAuditNews } from './audit-news.ts';
import { readAuditRecord } from './audit-record.ts';
import { requireAuditScope } from './audit-scope.ts';
import { auditVisits } from './audit-visits.ts';
import type { Answer, OptionValues } from './command.ts';
import type { Context } from './context.ts';

/** A mistyped place would look like a fleet on which all is done. */
function requireWorkspace({ workspace }: Context): void {
  if (workspace.exists()) return;
  throw new Failure({
    code: 'workspace-absent',
    exit: 2,
    summary: 'There is no workspace there, so nothing can be said of any unit.',
    where: workspace.root,
    next: 'Check --workspace and SLOTPROOF_WORKSPACE; units come in with: slotproof units import FILE',
  });
}

export async function run(
  context: Context,
  _positionals: readonly (string | undefined)[],
  options: OptionValues,
): Promise<Answer> {
  const { clock, terminal } = context;
  requireWorkspace(context);
  const outputs = auditFiles(context.files, options);
  const catalogue = await context.catalogue();
  const record = await readAuditRecord(context, options.asOf);
  const scope = requireAuditScope(catalogue, record.units, options, record.day);
  const dayOf = (atMs: number) => formatLocalDay(atMs, clock);
  const routes = routesOn(catalogue, record.day, scope.target);
  const { product, site } = scope;
  const { units, outcomes, endMs } = record;
  const question = { catalogue, routes, units, outcomes, product, site, dayOf, endMs };
  const audit = auditFleet(question);
  const visits = await auditVisits(context, options, question, record);

  const newsMs = manifestNewsMs(catalogue, context.files, clock.now());
  const findings = checkAuditNews(catalogue, newsMs, context);
  const knownAsOf = newsMs === undefined ? null : formatLocalTime(newsMs, clock);
  const facts: AuditTextFacts = {
    columns: terminal.columns,
    knownAsOf: knownAsOf && `${knownAsOf.slice(0, 10)} ${knownAsOf.slice(11, 16)}`,
    scope: scope.words,
    visits: visits?.results ?? null,
    dayOf,
  };
  outputs.write(audit, facts);

  const failIf = options.failIf === 'due' || options.failIf === 'overdue' ? options.failIf : undefined;
  const failing = failIf === undefined ? [] : outstanding(audit, failIf);
  const refused = visits?.refused ?? [];
  const exit: ExitCode = failing.length > 0 ? 3 : refused.length > 0 ? 4 : 0;
  return {
    exit,
    json: {
      asOf: record.day,
      knownAsOf,
      ...auditJson(audit, routes, clock),
      ...(visits === undefined ? {} : { visits: visits.json, refused }),
      ...(failIf === undefined ? {} : { outstanding: failing.length }),
      csv: outputs.csv ?? null,
      html: outputs.html ?? null,
      findings,
    },
    text: [
      ...withLine(findings, () => renderFindings(findings, terminal)),
      ...withLine(refused, () =>
        refused
          .slice(0, 40)
          .map(({ line, code, summary }) => `Visits, line ${line} refused: ${printable(summary)} [${code}]`)
          .join('\n'),
      ),
      audit.rows.length === 0 ? renderNoUnits(facts) : renderAuditText(audit, facts),
      ...[outputs.csv, outputs.html].filter((path) => path !== undefined).map((path) => `Written: ${path}`),
      ...(failIf === undefined ? [] : [outstandingLine(failing.length, failIf)]),
    ].join('\n'),
  };
}

function withLine(things: readonly unknown[], render: () => string): string[] {
  return things.length === 0 ? [] : [render(), ''];
}

function outstandingLine(count: number, failIf: 'due' | 'overdue'): string {
  const what = failIf === 'due' ? 'still need something' : 'are past their date';
  return count === 0 ? `None ${what} (--fail-if ${failIf}).` : `${count} ${what} (--fail-if ${failIf}).`;
}
