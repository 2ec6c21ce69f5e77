// What every command says and does about manifests that are not let in: one line on standard error, and the releases that
// such a manifest may mean to withdraw are stopped like withdrawn ones. In doubt a stop costs an evening; the other way round
// it may cost more.

import { type Catalogue, releaseKey, type Untrusted } from '../manifest/catalogue.ts';
import { type Withdrawal, withWithdrawals } from '../manifest/withdrawals.ts';
import { counted } from '../words/counted.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';

export function tellUntrusted(
  { terminal, clock }: Pick<Context, 'terminal' | 'clock'>,
  catalogue: Catalogue,
  { findings, doubted }: Untrusted,
): Catalogue {
  terminal.notice(
    `${counted(findings.length, 'manifest is', 'manifests are')} not used, for want of a signature by somebody trusted. See: slotproof manifests check`,
  );
  const on = formatLocalDay(clock.now(), clock);
  const withdrawals = new Map<string, Withdrawal>();
  const stopped = new Set(catalogue.releases.filter((one) => one.withdrawn !== undefined).map(releaseKey));
  for (const [release, path] of doubted) {
    if (stopped.has(release)) continue;
    terminal.notice(
      `STOPPED in doubt: ${printable(release, 140)}. A manifest that is not trusted speaks of its withdrawal.`,
    );
    withdrawals.set(release, {
      on,
      why: `In doubt: ${printable(path, 200)} speaks of its withdrawal and is not signed by anybody trusted`,
      doThis: 'Ask the service lead; sign that manifest, or take it away',
    });
  }
  return withWithdrawals(catalogue, withdrawals);
}
