// The forms in which a sheet can be had, each loaded only when it is asked for: how its file ends, and what is in
// it. Renders; writes nothing.

import type { SheetView } from '../sheet/sheet-view.ts';
import type { Context } from './context.ts';

export const sheetForms = ['text', 'html', 'pdf'] as const;
export type SheetForm = (typeof sheetForms)[number];

export const papers = ['a4', 'letter'] as const;

export interface FormOrder {
  readonly form: SheetForm;
  /** undefined: not said; pages for a browser then take the printer's own. */
  readonly paper: (typeof papers)[number] | undefined;
  readonly slip: boolean;
  readonly madeMs: number;
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
): Promise<RenderedForm> {
  switch (form) {
    case 'text': {
      const [{ renderSheetForScreen, renderSheetText }, { renderSlipText }] = await Promise.all([
        import('../sheet/sheet-text.ts'),
        import('../sheet/slip-text.ts'),
      ]);
      return {
        ending: 'txt',
        sheet: renderSheetText(view),
        slip: slip ? renderSlipText(view) : undefined,
        onScreen: renderSheetForScreen(view),
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
  }
}
