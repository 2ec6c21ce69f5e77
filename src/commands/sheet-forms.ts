// The forms in which a sheet can be had, each loaded only when it is asked for: how its file ends, and what is in
// it. Renders; writes nothing.

import type { Product, Release } from '../manifest/schema.ts';
import type { LanguageCode } from '../sheet/language-codes.ts';
import type { OutcomeSheet } from '../sheet/outcome/outcome.ts';
import type { PageCode } from '../sheet/pocket/pocket-page.ts';
import type { SheetView } from '../sheet/sheet-view.ts';
import { Failure } from '../words/failure.ts';
import type { Context } from './context.ts';

export const sheetForms = ['text', 'html', 'pdf', 'pocket'] as const;
export type SheetForm = (typeof sheetForms)[number];

export const papers = ['a4', 'letter'] as const;

export interface FormOrder {
  readonly form: SheetForm;
  /** undefined: not said; pages for a browser then take the printer's own. */
  readonly language: LanguageCode;
  readonly paper: (typeof papers)[number] | undefined;
  readonly slip: boolean;
  readonly madeMs: number;
}

/** What a pocket page carries besides the sheet itself. */
export interface Carried {
  readonly product: Product;
  readonly release: Release;
  /** There exactly where the form is a pocket page. */
  readonly outcomes: OutcomeSheet | undefined;
}

export interface RenderedForm {
  /** Of its file: `txt`. */
  readonly ending: string;
  readonly sheet: string | Uint8Array;
  /** The slip for the customer, where it was asked for. */
  readonly slip: string | Uint8Array | undefined;
  /** The sheet as a terminal shows it, where it can. */
  readonly onScreen: string | undefined;
}

export async function renderForm(
  context: Context,
  view: SheetView,
  { form, paper, slip, madeMs }: FormOrder,
  carried: Carried,
): Promise<RenderedForm> {
  switch (form) {
    case 'text': {
      const [{ renderSheetForScreen, renderSheetText }, { renderSlipText }, { sheetColumns }] =
        await Promise.all([
          import('../sheet/sheet-text.ts'),
          import('../sheet/slip-text.ts'),
          import('../sheet/text-form.ts'),
        ]);
      const width = Math.min(sheetColumns, Math.max(narrowestColumns, context.terminal.columns));
      return {
        ending: 'txt',
        sheet: renderSheetText(view),
        slip: slip ? renderSlipText(view) : undefined,
        onScreen: renderSheetForScreen(view, { width }),
      };
    }
    case 'html': {
      const [{ renderSheetHtml }, { renderSlipHtml }] = await Promise.all([
        import('../sheet/html/sheet-html.ts'),
        import('../sheet/html/slip-html.ts'),
      ]);
      return {
        ending: 'html',
        sheet: renderSheetHtml(view, { paper }),
        slip: slip ? renderSlipHtml(view, { paper }) : undefined,
        onScreen: undefined,
      };
    }
    case 'pdf': {
      const [{ renderSheetPdf }, { renderSlipPdf }, press] = await Promise.all([
        import('../sheet/pdf/sheet-pdf.ts'),
        import('../sheet/pdf/slip-pdf.ts'),
        context.press(),
      ]);
      const options = { paper: paper ?? 'a4', madeMs };
      return {
        ending: 'pdf',
        sheet: await renderSheetPdf(view, press, options),
        slip: slip ? await renderSlipPdf(view, press, options) : undefined,
        onScreen: undefined,
      };
    }
    case 'pocket': {
      const [{ renderPocketPage }, { pocketData }, { renderSlipHtml }] = await Promise.all([
        import('../sheet/pocket/pocket-page.ts'),
        import('../sheet/pocket/pocket-data.ts'),
        import('../sheet/html/slip-html.ts'),
      ]);
      if (carried.outcomes === undefined) throw new RangeError('a pocket page without a key');
      const data = pocketData(view, carried, carried.outcomes);
      return {
        ending: 'pocket.html',
        sheet: renderPocketPage(data, readPageCode(context)),
        slip: slip ? renderSlipHtml(view, { paper }) : undefined,
        onScreen: undefined,
      };
    }
  }
}

/** A wider window shows the sheet as it is printed; in a narrower one than that its tables find no room. */
const narrowestColumns = 60;

const largestPageCode = 4_000_000;

/** As the build made it. */
function readPageCode({ files, shippedPage }: Context): PageCode {
  if (files.facts(shippedPage) === undefined) {
    throw new Failure({
      code: 'page-not-built',
      exit: 2,
      summary: "The pocket page's own code is not there.",
      where: shippedPage,
      next: 'Install slotproof again, or run npm run build where it was cloned.',
    });
  }
  return JSON.parse(files.readText(shippedPage, largestPageCode)) as PageCode;
}
