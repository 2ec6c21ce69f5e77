// `cards --label NAME`: a label for a card's sleeve, as text or as PDF. A label says what is on the card; so there is none
// for a card of which the record does not know that it is ready.

import type { Catalogue } from '../manifest/catalogue.ts';
import { baseName } from '../manifest/download-name.ts';
import { type CardLabel, cardLabel } from '../sheet/card-label/card-label.ts';
import { renderLabelText } from '../sheet/card-label/label-text.ts';
import { exitCode } from '../words/exit-code.ts';
import { Failure } from '../words/failure.ts';
import { formatLocalDay } from '../words/local-time.ts';
import { printable } from '../words/printable.ts';
import { requireKnownCard, type StandingCard, standingCards } from './cards-known.ts';
import type { Answer } from './command.ts';
import type { Context } from './context.ts';
import { requireNewFile } from './new-file.ts';

function labelOf({ card }: StandingCard, { products, releases }: Catalogue, { clock }: Context): CardLabel {
  const { prepared } = card;
  const release = releases.find((one) => `${one.product}@${one.version}` === prepared.release);
  const product = release && products.get(release.product);
  if (release === undefined || product === undefined) throw new Error('a ready card without a release');
  return cardLabel({
    name: baseName(card.card),
    release: prepared.release,
    productName: product.name,
    hardware: release.hardware,
    imageName: release.image.name,
    sha256: prepared.file.sha256,
    preparedOn: formatLocalDay(prepared.atMs, clock),
    preparedBy: prepared.by,
  });
}

export interface LabelOrder {
  readonly names: readonly string[];
  readonly format: 'text' | 'pdf';
  readonly out: string | undefined;
}

export async function makeLabels(context: Context, { names, format, out }: LabelOrder): Promise<Answer> {
  const path = out === undefined ? undefined : requireNewFile(context, out);
  if (format === 'pdf' && path === undefined) {
    throw new Failure({
      code: 'option-missing',
      exit: 2,
      summary: 'A PDF is written to a file.',
      expected: '--out FILE.pdf',
      where: '--out',
      next: 'Say where the labels shall lie.',
    });
  }
  const cards = await standingCards(context);
  const chosen = names.map((name) => requireKnownCard(cards, name));
  const unready = chosen.filter(({ standing }) => standing !== 'ready');
  if (unready.length > 0) {
    const named = unready.map(({ card, standing }) => `${printable(card.card, 200)}: ${standing}`);
    return {
      exit: exitCode.no,
      json: {
        path: null,
        labels: [],
        unready: unready.map(({ card, standing }) => ({ card: card.card, standing })),
      },
      text: [
        ...named,
        '',
        'No label was made: a label is for a card that is ready. See: slotproof cards --known',
      ].join('\n'),
    };
  }
  const catalogue = await context.catalogue();
  const labels = chosen.map((card) => labelOf(card, catalogue, context));
  const text = renderLabelText(labels);
  if (path !== undefined) {
    const content =
      format === 'text'
        ? new TextEncoder().encode(`${text}\n`)
        : await (await import('../sheet/card-label/label-pdf.ts')).renderLabelPdf(
            labels,
            await context.press(),
            // The same labels again give the same bytes.
            Math.max(...chosen.map(({ card }) => card.prepared.atMs)),
          );
    context.files.writeNew(path, [content]);
  }
  return {
    exit: exitCode.done,
    json: { path: path ?? null, labels },
    text: path === undefined ? text : `Labels for ${labels.map(({ name }) => name).join(', ')}: ${path}`,
  };
}
