// The sheet of the demo maker's battery cabinet in all four forms: `view FILE` keeps what a sheet says as JSON, and what
// a pocket page carries besides; `FILE PAGE` draws text, HTML, PDF and pocket page from it as a process of its own.
// PAGE is the page's own code as the build made it. For `npm run bench -- forms`.

import { readFileSync, writeFileSync } from 'node:fs';
import type { OutcomeSheet } from '../../src/sheet/outcome/outcome.ts';
import type { PocketData } from '../../src/sheet/pocket/pocket-data.ts';

async function keepView(path: string, manifests: string): Promise<void> {
  const [{ parse }, { productSchema, releaseSchema }, { checkGaps }, { sheetView }, { pocketData }] =
    await Promise.all([
      import('yaml'),
      import('../../src/manifest/schema.ts'),
      import('../../src/procedure/check-gaps.ts'),
      import('../../src/sheet/sheet-view.ts'),
      import('../../src/sheet/pocket/pocket-data.ts'),
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
  const release = releaseSchema.parse(read('hearth-90-2.6.0'));
  const outcomes = {
    sheet: view.number,
    key: 'ab'.repeat(32),
    product: product.id,
    version: release.version,
    scheme: product.versions,
    units: [],
    patterns: product.patterns.map(({ id }) => id),
  } as unknown as OutcomeSheet;
  writeFileSync(path, JSON.stringify(pocketData(view, { product, release }, outcomes)));
}

async function draw(path: string, page: string): Promise<void> {
  const [
    { renderSheetText },
    { renderSheetHtml },
    { renderSheetPdf },
    { openPdfPress },
    { renderPocketPage },
  ] = await Promise.all([
    import('../../src/sheet/sheet-text.ts'),
    import('../../src/sheet/html/sheet-html.ts'),
    import('../../src/sheet/pdf/sheet-pdf.ts'),
    import('../../src/adapters/pdf/open-pdf-press.ts'),
    import('../../src/sheet/pocket/pocket-page.ts'),
  ]);
  const data = JSON.parse(readFileSync(path, 'utf8')) as PocketData;
  const { view } = data;
  writeFileSync(`${path}.pocket.html`, renderPocketPage(data, JSON.parse(readFileSync(page, 'utf8'))));
  writeFileSync(`${path}.txt`, renderSheetText(view));
  writeFileSync(`${path}.html`, renderSheetHtml(view, { paper: 'a4' }));
  writeFileSync(`${path}.pdf`, await renderSheetPdf(view, await openPdfPress(), { paper: 'a4', madeMs: 0 }));
}

const [, , first = '', second = '', third = ''] = process.argv;
void (first === 'view' ? keepView(second, third) : draw(first, second));
