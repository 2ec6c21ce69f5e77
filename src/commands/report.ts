// `report SERIAL`: all that is on record of one unit, as a maker wants it for a claim, as text, HTML or PDF. Reads the
// record and the manifests, writes one new file, and changes nothing.

import { routesOn } from '../fleet/routes.ts';
import { standingOf } from '../fleet/status.ts';
import { whyStanding } from '../fleet/why.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { Entry, RecordStore } from '../ports/record-store.ts';
import { asCorrected, corrected, correctionsIn } from '../record/as-corrected.ts';
import { inClaimedOrder } from '../record/entry-order.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { isCard } from '../report/card-proof.ts';
import type { Report } from '../report/report.ts';
import { reportContent } from '../report/report-content.ts';
import type { ReportFacts } from '../report/report-facts.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay, formatLocalTime } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import type { Run } from './command.ts';
import type { Context } from './context.ts';
import { requireNewFile } from './new-file.ts';
import { requireRegisteredUnit } from './registered-unit.ts';
import { requirePaper } from './sheet-order.ts';
import { procedureDigest } from './visit-order.ts';

const endings = { text: 'txt', html: 'html', pdf: 'pdf' } as const;
type Form = keyof typeof endings;

const cardKinds = ['card-prepared', 'card-checked'] as const;

/** Of a text that is kept; on the screen it is as wide as that. */
const textColumns = 100;

export const run: Run = async (context, [given = ''], options) => {
  const form: Form = options.format === 'html' || options.format === 'pdf' ? options.format : 'text';
  const paper = requirePaper(options.paper) ?? 'a4';
  const out = requireNewFile(context, options.out);
  const unit = await requireRegisteredUnit(context, given);
  const store = await context.record('read');
  if (store === undefined) throw new Error('a registered unit without a record');
  const madeMs = context.clock.now();
  const report = reportContent(await factsOf(context, store, unit, madeMs));
  const path = out ?? newPlace(context, unit.serial, endings[form]);
  const content = await render(context, report, form, paper, madeMs);
  const shown = form === 'text' && out === undefined ? [await onScreen(context, report), ''] : [];
  try {
    if (out === undefined) {
      context.workspace.make();
      context.files.makeFolder(path.slice(0, path.lastIndexOf('/')));
    }
    context.files.writeNew(path, [content]);
  } catch (error) {
    // What was asked for can be read all the same, where the screen has it.
    if (shown.length === 0 || !(error instanceof Failure) || error.facts.exit !== 6) throw error;
    const { code, summary, where } = error.facts;
    const next = 'To keep it, name a file on another drive with --out.';
    return {
      exit: 6,
      json: {
        path: null,
        format: form,
        serial: unit.serial,
        report,
        notKept: { code, summary, where: where ?? path, next },
      },
      text: [...shown, `This report was not kept: ${printable(summary, 200)} ${next}`].join('\n'),
    };
  }
  return {
    exit: 0,
    json: { path: context.files.absolute(path), format: form, serial: unit.serial, report },
    text: [...shown, `Report on ${printable(unit.serial, 64)}: ${context.files.absolute(path)}`].join('\n'),
  };
};

async function onScreen({ terminal }: Context, report: Report): Promise<string> {
  const { renderReportText } = await import('../report/report-text.ts');
  return renderReportText(report, Math.min(terminal.columns, textColumns));
}

async function render(
  context: Context,
  report: Report,
  form: Form,
  paper: 'a4' | 'letter',
  madeMs: number,
): Promise<Uint8Array> {
  switch (form) {
    case 'text': {
      const { renderReportText } = await import('../report/report-text.ts');
      return new TextEncoder().encode(`${renderReportText(report, textColumns)}\n`);
    }
    case 'html': {
      const { renderReportHtml } = await import('../report/report-html.ts');
      return new TextEncoder().encode(renderReportHtml(report));
    }
    case 'pdf': {
      const { renderReportPdf } = await import('../report/report-pdf.ts');
      return await renderReportPdf(report, await context.press(), { paper, madeMs });
    }
  }
}

/** A serial is what a product's pattern lets it be; here it has to be the name of a file as well. */
function newPlace({ clock, files, workspace }: Context, serial: string, ending: string): string {
  const name = serial.replace(/[^A-Za-z0-9-]/g, '_').slice(0, 64);
  const at = formatLocalTime(clock.now(), clock)
    .slice(0, 19)
    .replace(/[^0-9T]/g, '');
  for (let number = 1; number < 1000; number++) {
    const path = `${workspace.root}/reports/${name}-${at}${number === 1 ? '' : `-${number}`}.${ending}`;
    if (files.facts(path) === undefined) return path;
  }
  throw new Failure({
    code: 'file-exists',
    exit: 2,
    summary: 'There are a thousand reports of this very second already.',
    where: `${workspace.root}/reports`,
    next: 'Name a new file with --out.',
  });
}

async function factsOf(
  context: Context,
  store: RecordStore<UnitRecord>,
  unit: UnitRecord,
  madeMs: number,
): Promise<ReportFacts> {
  const { clock } = context;
  const catalogue = await context.catalogue();
  const day = formatLocalDay(madeMs, clock);
  const { manifestNewsMs } = await import('../manifest/manifest-news.ts');
  const newsMs = manifestNewsMs(catalogue, context.files, madeMs);
  const entries: Entry[] = [];
  for await (const entry of store.entries({ serial: unit.serial })) entries.push(entry);
  const standing = standingOf(unit, routesOn(catalogue, day));
  const product = catalogue.products.get(unit.product);
  const releases = catalogue.releases.filter((release) => release.product === unit.product);
  return {
    unit,
    standing: {
      status: standing.status,
      why: whyStanding(unit, standing, (atMs) => formatLocalDay(atMs, clock)),
    },
    entries,
    cardEntries: await entriesOfCards(store, entries),
    product,
    releases,
    procedures: new Map(
      product === undefined
        ? []
        : releases.map((release) => [releaseKey(release), procedureDigest(product, release)] as const),
    ),
    marks: await store.marks(),
    made: { at: formatLocalTime(madeMs, clock), by: context.typedBy ?? null },
    newsDay: newsMs === undefined ? null : formatLocalDay(newsMs, clock),
  };
}

/** As written, with their corrections; one that was first written of another card, and corrected to one of these, too. */
async function entriesOfCards(store: RecordStore<UnitRecord>, entries: readonly Entry[]): Promise<Entry[]> {
  const cards = new Set(
    asCorrected(entries)
      .concat(entries)
      .flatMap(({ kind, body }) => (kind === 'outcome' && typeof body.card === 'string' ? [body.card] : [])),
  );
  if (cards.size === 0) return [];
  const corrections: Entry[] = [];
  for await (const entry of store.entries({ kind: 'correction' })) {
    if (cardKinds.some((kind) => kind === entry.body.kind)) corrections.push(entry);
  }
  const all = correctionsIn(corrections);
  const isOfThese = (entry: Entry | undefined) => {
    const kept = entry?.body.card;
    return typeof kept === 'string' && [...cards].some((named) => isCard(kept, named));
  };
  const found: Entry[] = [];
  for (const kind of cardKinds) {
    for await (const entry of store.entries({ kind })) {
      if (!isOfThese(entry) && !isOfThese(corrected(entry, all))) continue;
      const ids = new Set(all.get(entry.id)?.map(({ id }) => id));
      found.push(entry, ...corrections.filter(({ id }) => ids.has(id)));
    }
  }
  return inClaimedOrder(found);
}
