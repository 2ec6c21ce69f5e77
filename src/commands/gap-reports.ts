// What `manifests check` says of each product whose procedure has no gaps: how much was looked at, how long the
// work takes, how each end leaves the unit, and that this is no approval. Judges nothing anew.

import type { Product } from '../manifest/schema.ts';
import type { GapCheck } from '../procedure/check-gaps.ts';
import { gapSummary } from '../procedure/gap-summary.ts';
import type { WayTime } from '../procedure/procedure-times.ts';
import { printable } from '../words/printable.ts';
import { wrap } from '../words/wrap.ts';

export interface GapReport {
  readonly product: Product;
  readonly check: GapCheck;
}

export function gapReportJson({ product, check }: GapReport): Record<string, unknown> {
  const { times } = check;
  return {
    product: product.id,
    states: check.states,
    complete: check.complete,
    shortest: wayJson(times.shortest),
    longest: wayJson(times.longest),
    ends: check.ends.map(({ step, kind, leaves, unlikeEnds }) => ({ step, kind, leaves, unlikeEnds })),
    times: times.ends.map(({ end, shortest, longest }) => ({
      end,
      shortest: wayJson(shortest),
      longest: wayJson(longest),
    })),
    assumed: times.assumed,
    plateMayBeLonger: times.plateMayBeLonger,
    statement: check.statement,
  };
}

function wayJson(way: WayTime | undefined): Record<string, unknown> | null {
  return way === undefined ? null : { minutes: way.minutes, seconds: way.seconds, path: way.path };
}

export function renderGapReport({ product, check }: GapReport, columns: number): string {
  const width = Math.min(columns, 100);
  const name = `${product.id}: ${printable(product.maker, 80)} ${printable(product.name, 80)}`;
  return [wrap(name, width), ...gapSummary(check).map((line) => wrap(line, width, '    ', '  '))].join('\n');
}
