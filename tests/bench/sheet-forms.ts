// The sheet of the demo maker's battery cabinet in its printed forms: `view FILE` keeps what a sheet says as JSON,
// `FILE` draws text, HTML and PDF from it as a process of its own. For `npm run bench -- forms`.

import { readFileSync, writeFileSync } from 'node:fs';
import type { SheetView } from '../../src/sheet/sheet-view.ts';

async function keepView(path: string, manifests: string): Promise<void> {
  const [{ parse }, { productSchema, releaseSchema }, { checkGaps }, { sheetView }] = await Promise.all([
    import('yaml'),
    import('../../src/manifest/schema.ts'),
    import('../../src/procedure/check-gaps.ts'),
    import('../../src/sheet/sheet-view.ts'),
  ]);
  const read = (name: string) => parse(readFileSync(`${manifests}/${name}.yaml`, 'utf8'));
  const product = productSchema.parse(read('hearth-90'));
  const view = sheetView({
    number: 'K7MD-29XH',
    language: 'en',
    product,
    release: releaseSchema.parse(read('hearth-90-2.6.0')),
    units: [],
    made: { day: '2026-10-03', time: '18:05', by: null },
    times: checkGaps(product).times,
    gapsChecked: true,
    dayEnds: null,
    news: { day: '2026-10-02', daysOld: 1 },
    mark: null,
  });
  writeFileSync(path, JSON.stringify(view));
}

async function draw(path: string): Promise<void> {
  const [{ renderSheetText }, { renderSheetHtml }, { renderSheetPdf }, { openPdfPress }] = await Promise.all([
    import('../../src/sheet/sheet-text.ts'),
    import('../../src/sheet/html/sheet-html.ts'),
    import('../../src/sheet/pdf/sheet-pdf.ts'),
    import('../../src/adapters/pdf/open-pdf-press.ts'),
  ]);
  const view = JSON.parse(readFileSync(path, 'utf8')) as SheetView;
  writeFileSync(`${path}.txt`, renderSheetText(view));
  writeFileSync(`${path}.html`, renderSheetHtml(view, { paper: 'a4' }));
  writeFileSync(`${path}.pdf`, await renderSheetPdf(view, await openPdfPress(), { paper: 'a4', madeMs: 0 }));
}

const [, , first = '', second = '', third = ''] = process.argv;
await (first === 'view' ? keepView(second, third) : draw(first));
