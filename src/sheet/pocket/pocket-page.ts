// The pocket page: one HTML file that holds everything, opened from a phone's own storage. It fetches nothing, and
// its policy would not let it: only this style and this script run, by their digests. Without a script it is still
// the whole sheet to read.

import { sha256Base64 } from '../../bytes/sha256.ts';
import { languages } from '../language.ts';
import type { LanguageCode } from '../language-codes.ts';
import { paperTree } from './paper-tree.ts';
import { encodePocketData, type PocketData } from './pocket-data.ts';
import { pocketWords } from './pocket-words.ts';
import { el, renderTree } from './tree.ts';

/** What the build makes of the page's own code. */
export interface PageCode {
  /** By the language of the page. */
  readonly scripts: Readonly<Record<LanguageCode, string>>;
  readonly style: string;
}

export function renderPocketPage(data: PocketData, { scripts, style }: PageCode): string {
  const { view } = data;
  const script = scripts[view.language];
  const words = pocketWords(languages[view.language]);
  const { pocket } = words;
  const policy = [
    "default-src 'none'",
    `script-src 'sha256-${sha256Base64(script)}'`,
    `style-src 'sha256-${sha256Base64(style)}'`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
  const title = `${view.product.name}, ${words.head.sheet} ${view.number}`;
  const header = el(
    'header',
    { id: 'top' },
    el('h1', {}, view.product.name),
    el('p', { class: 'number' }, `${words.head.sheet} ${view.number}`),
    el('p', { id: 'unit', hidden: true }),
    el('div', { id: 'controls', role: 'group', 'aria-label': pocket.controls, hidden: true }),
  );
  const status = el('aside', { id: 'status', 'aria-label': pocket.running, hidden: true });
  const main = el(
    'main',
    { id: 'main' },
    el('div', { id: 'screen' }),
    el('div', { id: 'paper' }, ...paperTree(view, words)),
  );
  const nav = el('nav', { id: 'places', 'aria-label': pocket.placesName, hidden: true });
  return `<!doctype html>
<html lang="${words.code}" data-theme="sun" data-place="list">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="referrer" content="no-referrer">
<meta name="format-detection" content="telephone=no">
<meta name="color-scheme" content="light dark">
<title>${renderTree(title)}</title>
<style>${style}</style>
</head>
<body>
${renderTree(header)}
<p id="still">${renderTree(pocket.noScript)}</p>
${renderTree(status)}
${renderTree(main)}
${renderTree(nav)}
<footer><p>${renderTree(pocket.offline)}</p></footer>
<div id="heard" class="heard" aria-live="assertive"></div>
<script id="data" type="application/json">${encodePocketData(data)}</script>
<script>${script}</script>
</body>
</html>
`;
}
