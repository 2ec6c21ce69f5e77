// The pieces of a page for a browser: every text escaped, blanks and boxes drawn by the style sheet and named for
// those who hear the page. No scripts, nothing fetched.

import { htmlText } from '../../words/html-text.ts';
import type { SheetLanguage } from '../language.ts';
import type { SheetView } from '../sheet-view.ts';

export interface HtmlForm {
  readonly view: SheetView;
  readonly words: SheetLanguage;
}

export interface HtmlOptions {
  /** undefined: whatever the printer holds. */
  readonly paper: 'a4' | 'letter' | undefined;
}

/** A sheet never cuts a text; its texts are bounded where they come in. */
const longest = 100_000;

export function text(plain: string): string {
  return htmlText(plain, longest);
}

function heard(plain: string): string {
  return `<span class="heard">${text(plain)}</span>`;
}

export function box({ words }: HtmlForm): string {
  return `<span class="box">${heard(words.spoken.box)}</span>`;
}

export function blank({ words }: HtmlForm, em?: number): string {
  const width = em === undefined ? '' : ` style="width:${em.toFixed(1)}em"`;
  return `<span class="blank"${width}>${heard(words.spoken.blank)}</span>`;
}

/** Underscores stand for a blank to write on, about as wide as they are; what is glued to it stays with it. */
export function written(form: HtmlForm, plain: string): string {
  const word = (one: string) =>
    one
      .split(/(_{4,})/)
      .map((part) => (/^_{4,}$/.test(part) ? blank(form, Math.min(30, part.length * 0.58)) : text(part)))
      .join('');
  return plain
    .split(/( +)/)
    .map((one) => (one.includes('____') ? `<span class="together">${word(one)}</span>` : text(one)))
    .join('');
}

export function ticked(form: HtmlForm, plain: string): string {
  return `<span class="tick">${box(form)} <span>${text(plain)}</span></span>`;
}

export function paragraph(plain: string, className = ''): string {
  return `<p${className === '' ? '' : ` class="${className}"`}>${text(plain)}</p>\n`;
}

export function list(items: readonly string[], className: string): string {
  if (items.length === 0) return '';
  return `<ul class="${className}">\n${items.map((item) => `<li>${item}</li>`).join('\n')}\n</ul>\n`;
}

/** A part of the page under a heading of its own. */
export function section(id: string, title: string, content: string): string {
  return `<section id="${id}" aria-labelledby="${id}-title">\n<h2 id="${id}-title">${text(title)}</h2>\n${content}</section>\n`;
}

export function table(
  className: string,
  titles: readonly string[],
  rows: readonly (readonly string[])[],
  firstIsHead = false,
): string {
  const head = titles.map((title) => `<th scope="col">${text(title)}</th>`).join('');
  const body = rows.map((cells) => {
    const row = cells.map((cell, at) =>
      firstIsHead && at === 0 ? `<th scope="row">${cell}</th>` : `<td>${cell}</td>`,
    );
    return `<tr>${row.join('')}</tr>`;
  });
  return `<table class="${className}">\n<thead><tr>${head}</tr></thead>\n<tbody>\n${body.join('\n')}\n</tbody>\n</table>\n`;
}

/** Any text as a string of a style sheet within a page: nothing in it can end the string or the sheet. */
export function styleString(plain: string): string {
  const safe = Array.from(plain, (character) =>
    /[A-Za-z0-9 ]/.test(character) ? character : `\\${(character.codePointAt(0) ?? 0).toString(16)} `,
  );
  return `"${safe.join('')}"`;
}
