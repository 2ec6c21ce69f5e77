// Lays blocks of lines out on pages of a fixed height, each with a foot. A block is never split unless it is
// longer than a page by itself; then it is cut and its head is said again. Knows nothing of what they say.

export interface Block {
  readonly lines: readonly string[];
  /** Begin a new page before it. */
  readonly newPage?: boolean;
  /** Keep on the same page as the block after it: for headings. */
  readonly withNext?: boolean;
  /** Said again where the block had to be cut: `Step 12, continued`. */
  readonly continued?: string;
}

export interface PageForm {
  /** Lines of a page, the foot and the blank line above it included. */
  readonly height: number;
  readonly foot: (page: number, pages: number) => string;
}

/** A4 and Letter at six lines an inch, with margins: what every printer takes. */
export const linesPerPage = 58;

function pieces(block: Block, room: number): (readonly string[])[] {
  if (block.lines.length <= room) return [block.lines];
  const parts: string[][] = [];
  let rest = [...block.lines];
  while (rest.length > 0) {
    const head = parts.length > 0 && block.continued !== undefined ? [block.continued] : [];
    parts.push([...head, ...rest.slice(0, room - head.length)]);
    rest = rest.slice(room - head.length);
  }
  return parts;
}

/** Groups that must stand on one page: a heading with what it heads. Too long a group falls apart again. */
function groups(blocks: readonly Block[], room: number): { lines: readonly string[]; newPage: boolean }[] {
  const out: { lines: readonly string[]; newPage: boolean }[] = [];
  let heading: string[] = [];
  let newPage = false;
  for (const block of blocks) {
    newPage ||= block.newPage === true;
    if (block.withNext && heading.length + block.lines.length < room) {
      heading = [...heading, ...block.lines];
      continue;
    }
    const fits = heading.length + block.lines.length <= room;
    const parts = pieces(block, fits ? room : room - heading.length);
    for (const part of parts) {
      out.push({ lines: [...heading, ...part], newPage });
      heading = [];
      newPage = false;
    }
  }
  if (heading.length > 0) out.push({ lines: heading, newPage });
  return out;
}

/** Pages as lists of lines, the foot last; every page is exactly `form.height` lines. */
export function layOut(blocks: readonly Block[], form: PageForm): string[][] {
  const room = form.height - 2;
  const pages: string[][] = [[]];
  for (const group of groups(blocks, room)) {
    const page = pages[pages.length - 1] as string[];
    const full = page.length + group.lines.length > room;
    if ((group.newPage || full) && page.length > 0) pages.push([]);
    (pages[pages.length - 1] as string[]).push(...group.lines);
  }
  return pages.map((lines, index) => {
    const blank = Array.from({ length: room - lines.length + 1 }, () => '');
    return [...lines, ...blank, form.foot(index + 1, pages.length)];
  });
}
