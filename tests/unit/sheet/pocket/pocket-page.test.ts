// The pocket page as a file: what stands in it without any script, that its policy lets only its own code run, that
// nothing from a manifest becomes markup, and what the script is built from.

import { createHash } from 'node:crypto';
import { describe, expect, test } from 'vitest';
import { encodePocketData } from '../../../../src/sheet/pocket/pocket-data.ts';
import { renderPocketPage } from '../../../../src/sheet/pocket/pocket-page.ts';
import { el, renderTree } from '../../../../src/sheet/pocket/tree.ts';
import { buildPage } from '../../../support/page-setup.ts';
import { pump, releaseOf, unitOf } from '../sheet-fixture.ts';
import { dataOf } from './pocket-fixture.ts';

const script = 'start();';
const code = { scripts: { en: script, de: 'de();', fr: 'fr();' }, style: 'p { color: red; }' };
const page = (data = dataOf()) => renderPocketPage(data, code);
const hash = (text: string) => createHash('sha256').update(text).digest('base64');

describe('the policy', () => {
  test('nothing is fetched, and only this style and this script run', () => {
    const policy = /http-equiv="Content-Security-Policy" content="([^"]*)"/.exec(page())?.[1] ?? '';
    expect(policy.split('; ').sort()).toEqual(
      [
        "default-src 'none'",
        `script-src 'sha256-${hash(script)}'`,
        `style-src 'sha256-${hash(code.style)}'`,
        "base-uri 'none'",
        "form-action 'none'",
      ].sort(),
    );
    expect(page().indexOf('Content-Security-Policy')).toBeLessThan(page().indexOf('<style>'));
  });

  test('no address of any kind stands in it, but the namespace of drawings and numbers to ring', async () => {
    const { scripts, style } = await buildPage();
    const html = renderPocketPage(dataOf(), { scripts, style });
    const addresses = html.match(/[a-z]{2,12}:\/\/[^\s"'`)]*/gi) ?? [];
    expect([...new Set(addresses)]).toEqual(['http://www.w3.org/2000/svg']);
    expect(html).not.toMatch(/<(link|iframe|img|object|embed|audio|video|source|base)\b/i);
    expect(html).not.toMatch(/url\(|@import/);
    expect(html).not.toMatch(/\son[a-z]+="|style="|javascript:/i);
  });
});

describe('what comes from manifests', () => {
  const hostile = '</script><script>alert(1)</script><!-- <b onclick="x">\u2028 & \u202e';
  test('never becomes markup, and never ends the data', () => {
    // As it would be if a manifest's own check had let it through.
    const data = dataOf({
      product: { ...pump(), name: hostile, serves: [hostile], cautions: [hostile] },
      units: [unitOf('TRB12345674', { site: hostile, details: { access: hostile } })],
    });
    const html = page(data);
    expect(html.match(/<script/g)).toHaveLength(2);
    expect(html.match(/<\/script>/g)).toHaveLength(2);
    expect(html).not.toContain('<b onclick');
    expect(html).not.toContain('<!--');
    expect(html).not.toContain('\u202e');
    const text = /<script id="data" type="application\/json">(.*)<\/script>/.exec(html)?.[1] ?? '';
    expect(JSON.parse(text)).toEqual(JSON.parse(JSON.stringify(data)));
    expect(data.product.serves[0]).toContain('\\u202e');
  });

  test('the judge sees data that would end the element', () => {
    expect(JSON.stringify({ a: '</script>' })).toContain('</script>');
    expect(encodePocketData({ a: '</script>' } as never)).not.toContain('</script>');
  });

  test('a tree escapes texts and attributes, and closes what it opens', () => {
    const tree = el('p', { title: '"<x>', hidden: true, lang: undefined }, 'a < b & "c"', null, el('br'));
    expect(renderTree(tree)).toBe('<p title="&quot;&lt;x&gt;" hidden>a &lt; b &amp; &quot;c&quot;<br></p>');
  });
});

describe('without a script', () => {
  test('it is the whole sheet, cautions before anything else', () => {
    const html = page();
    const data = dataOf();
    for (const { number, body } of data.view.steps) {
      expect(html, `step ${number}`).toContain(`id="step-${number}"`);
      if (body.kind === 'do') expect(html).toContain(body.text.slice(0, 30).replaceAll("'", '&#39;'));
    }
    const order = [
      'id="head"',
      'id="cautions"',
      'id="source"',
      'id="units"',
      'id="rules"',
      'id="before"',
      'id="lights"',
      'id="failure"',
      'id="results"',
    ];
    const places = order.map((id) => html.indexOf(id));
    expect(places).not.toContain(-1);
    expect(places).toEqual([...places].sort((a, b) => a - b));
  });

  test('the version of the release stands nowhere in the rows to fill in', () => {
    const html = page();
    const results = html.slice(html.indexOf('id="results"'), html.indexOf('</main>'));
    expect(results).toContain('Version read');
    expect(results).not.toContain(releaseOf().version);
    expect(html.slice(html.indexOf('id="head"'), html.indexOf('id="cautions"'))).toContain(
      releaseOf().version,
    );
  });

  test('same input, same bytes', () => {
    expect(page()).toBe(page());
  });
});

describe('its own code', () => {
  test('is built from pure rooms and small packages alone, and stays small', async () => {
    const { inputs, scripts, style } = await buildPage();
    const packages = new Set(
      inputs.flatMap((path) => /node_modules\/((?:@[^/]+\/)?[^/]+)/.exec(path)?.[1] ?? []),
    );
    expect([...packages].sort()).toEqual(['canonicalize', 'crypto-js', 'uqr']);
    const rooms = new Set(inputs.flatMap((path) => /^src\/([^/]+)\//.exec(path)?.[1] ?? []));
    expect([...rooms].sort()).toEqual([
      'bytes',
      'fleet',
      'manifest',
      'procedure',
      'record',
      'sheet',
      'words',
    ]);
    expect(inputs.filter((path) => path.startsWith('src/bytes/'))).toEqual(['src/bytes/crc32.ts']);
    expect(Object.keys(scripts).sort()).toEqual(['de', 'en', 'fr']);
    expect(style.length).toBeLessThan(30_000);
    for (const [language, words] of Object.entries({
      en: 'YOU ARE HERE',
      de: 'SIE SIND HIER',
      fr: 'VOUS ÊTES ICI',
    })) {
      const script = scripts[language as keyof typeof scripts];
      expect(script.length).toBeLessThan(200_000);
      expect(script).toContain(words);
      for (const other of ['YOU ARE HERE', 'SIE SIND HIER', 'VOUS ÊTES ICI'].filter((one) => one !== words)) {
        expect(script, language).not.toContain(other);
      }
      expect(script).not.toMatch(/\b(fetch\(|XMLHttpRequest|WebSocket|sendBeacon|importScripts)/);
    }
  });
});
