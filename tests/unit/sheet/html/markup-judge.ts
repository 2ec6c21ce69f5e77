// A judge of markup that knows nothing of what the page says: it reads the page as a browser would, tag by tag, and
// tells what is not closed, not named, not escaped, or would run or fetch anything. Each complaint is a line.

export interface Element {
  readonly tag: string;
  readonly attributes: ReadonlyMap<string, string>;
  readonly children: (Element | string)[];
}

const entities: Readonly<Record<string, string>> = {
  '&amp;': '&',
  '&lt;': '<',
  '&gt;': '>',
  '&quot;': '"',
  '&#39;': "'",
};
const alone = new Set(['meta', 'br', 'path', 'rect']);

function plain(text: string): string {
  return text.replace(/&(?:amp|lt|gt|quot|#39);/g, (entity) => entities[entity] ?? entity);
}

export interface ReadPage {
  readonly root: Element;
  readonly told: string[];
}

/** Strict: every attribute quoted, every tag closed in its order, no bare `<`, `>` or `&` in a text. */
export function readPage(html: string): ReadPage {
  const told: string[] = [];
  const root: Element = { tag: '', attributes: new Map(), children: [] };
  const open: Element[] = [root];
  const body = html.replace(/^<!doctype html>\n/, '');
  if (body === html) told.push('no document type');
  const token =
    /<style>([\s\S]*?)<\/style>|<(\/?)([a-z][a-z0-9]*)((?:\s+[a-zA-Z-]+="[^"<>]*")*)(\/?)>|([^<]+)|(<)/g;
  for (const match of body.matchAll(token)) {
    const [, style, closing, tag, attributeText = '', self, text, stray] = match;
    const parent = open[open.length - 1]!;
    if (stray !== undefined) told.push(`a bare <: ${body.slice(match.index, match.index + 60)}`);
    else if (style !== undefined)
      parent.children.push({ tag: 'style', attributes: new Map(), children: [style] });
    else if (text !== undefined) {
      if (/>|&(?!(?:amp|lt|gt|quot|#39);)/.test(text)) told.push(`not escaped: ${text.slice(0, 60)}`);
      parent.children.push(plain(text));
    } else if (tag !== undefined && closing === '/') {
      if (parent.tag === tag) open.pop();
      else told.push(`</${tag}> closes <${parent.tag}>`);
    } else if (tag !== undefined) {
      const attributes = new Map(
        [...attributeText.matchAll(/([a-zA-Z-]+)="([^"]*)"/g)].map(([, name = '', value = '']) => [
          name,
          plain(value),
        ]),
      );
      const element: Element = { tag, attributes, children: [] };
      parent.children.push(element);
      if (self !== '/' && !alone.has(tag)) open.push(element);
    }
  }
  if (open.length > 1)
    told.push(
      `not closed: ${open
        .slice(1)
        .map(({ tag }) => tag)
        .join(' ')}`,
    );
  return { root, told };
}

export function all(element: Element, fits: (element: Element) => boolean): Element[] {
  return element.children.flatMap((child) =>
    typeof child === 'string' ? [] : [...(fits(child) ? [child] : []), ...all(child, fits)],
  );
}

const isTag = (tag: string) => (element: Element) => element.tag === tag;
const hasClass = (element: Element, name: string) =>
  (element.attributes.get('class') ?? '').split(' ').includes(name);

/** Ends what stands before it and after it, as a line does. */
const blocks = new Set([
  'p',
  'li',
  'div',
  'h1',
  'h2',
  'h3',
  'td',
  'th',
  'tr',
  'dt',
  'dd',
  'section',
  'footer',
  'br',
]);

/** What is seen on the page; what is only heard is left out. */
export function seenText(element: Element): string {
  if (element.tag === 'style' || element.tag === 'head' || hasClass(element, 'heard')) return '';
  const inner = element.children
    .map((child) => (typeof child === 'string' ? child : seenText(child)))
    .join('');
  return blocks.has(element.tag) ? ` ${inner} ` : inner;
}

export function stepsInPage(root: Element): Map<number, string> {
  const steps = all(
    root,
    ({ tag, attributes }) => tag === 'li' && /^step-\d+$/.test(attributes.get('id') ?? ''),
  );
  return new Map(
    steps.map((step) => [
      Number(step.attributes.get('id')?.slice(5)),
      seenText(step).replace(/\s+/g, ' ').trim(),
    ]),
  );
}

const knownTags = new Set(
  'html head meta title style body header main section article footer h1 h2 h3 p div span b a ul ol li dl dt dd table thead tbody tr th td br svg path rect'.split(
    ' ',
  ),
);

export function markupComplaints(html: string): string[] {
  const { root, told: said } = readPage(html);
  const told = [...said];
  const elements = all(root, () => true);
  const ids = new Set<string>();
  for (const { tag, attributes } of elements) {
    if (!knownTags.has(tag)) told.push(`a tag that the page has no use for: ${tag}`);
    for (const [name, value] of attributes) {
      if (/^on/i.test(name)) told.push(`runs something: ${name}`);
      if (/^(src|srcset|action|poster|data|background)$/.test(name)) told.push(`fetches: ${name}="${value}"`);
      if (name === 'href' && !value.startsWith('#')) told.push(`leads away: ${value}`);
      if (name === 'style' && !/^[-a-z]+:[\d.]+em$/.test(value)) told.push(`a style of its own: ${value}`);
    }
    const id = attributes.get('id');
    if (id !== undefined && ids.has(id)) told.push(`two elements are called ${id}`);
    if (id !== undefined) ids.add(id);
  }
  for (const { attributes } of elements) {
    for (const [name, value] of attributes) {
      const target = name === 'href' ? value.slice(1) : name === 'aria-labelledby' ? value : undefined;
      if (target !== undefined && !ids.has(target))
        told.push(`${name} leads to ${value}, which is not there`);
    }
  }
  const style = elements
    .filter(isTag('style'))
    .flatMap(({ children }) => children)
    .join('');
  if (/url\(|@import|expression|</.test(style)) told.push('the style sheet fetches or ends');
  return [...told, ...readerComplaints(root)];
}

/** What somebody needs who hears the page. */
function readerComplaints(root: Element): string[] {
  const told: string[] = [];
  const [html] = all(root, isTag('html'));
  if (!/^[a-z]{2}/.test(html?.attributes.get('lang') ?? '')) told.push('no language');
  if (all(root, isTag('title')).map(seenText).join('').trim() === '') told.push('no title');
  const headings = all(root, ({ tag }) => /^h[1-6]$/.test(tag));
  let level = 0;
  for (const heading of headings) {
    const own = Number(heading.tag.slice(1));
    if (own > level + 1) told.push(`heading "${seenText(heading).trim()}" skips a level`);
    if (seenText(heading).trim() === '') told.push('an empty heading');
    level = own;
  }
  for (const table of all(root, isTag('table'))) {
    const heads = all(table, isTag('th'));
    if (heads.length === 0) told.push('a table without heads');
    if (heads.some(({ attributes }) => !['col', 'row'].includes(attributes.get('scope') ?? ''))) {
      told.push('a head without scope');
    }
  }
  for (const { attributes } of all(root, isTag('svg'))) {
    if (attributes.get('role') !== 'img' || (attributes.get('aria-label') ?? '') === '')
      told.push('a drawing without words');
  }
  for (const element of all(root, (one) => hasClass(one, 'box') || hasClass(one, 'blank'))) {
    if (all(element, (one) => hasClass(one, 'heard')).length !== 1) told.push('a box or blank without words');
  }
  return told;
}
