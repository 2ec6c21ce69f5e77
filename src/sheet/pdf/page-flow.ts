// Lays blocks of slabs out on pages of a fixed height. A block is never split unless it is higher than a page by
// itself; then it falls apart into its slabs and its head is said again. Knows nothing of what they say.

import { Failure } from '../../words/failure.ts';
import type { Slab } from './slab.ts';

export interface PageBlock {
  /** From the top down; only a block that is higher than a page is parted between them. */
  readonly slabs: readonly Slab[];
  /** Keep on the same page as the block after it: for headings. */
  readonly withNext?: boolean;
  /** Begin a new page before it, unless nothing stands on this one. */
  readonly newPage?: boolean;
  /** Never on the first page. */
  readonly notFirst?: boolean;
  /** Left free above it; nothing at the top of a page. */
  readonly abovePt?: number;
  /** Said again where the block had to be parted: `Step 12, continued`. */
  readonly continued?: Slab;
}

export interface PlacedSlab {
  readonly slab: Slab;
  readonly topPt: number;
}

interface Group {
  readonly placed: readonly PlacedSlab[];
  readonly heightPt: number;
  readonly abovePt: number;
  readonly newPage: boolean;
  readonly notFirst: boolean;
}

function heightOf(slabs: readonly Slab[]): number {
  return slabs.reduce((sum, { heightPt }) => sum + heightPt, 0);
}

function placedFrom(slabs: readonly Slab[]): PlacedSlab[] {
  let topPt = 0;
  return slabs.map((slab) => {
    const placed = { slab, topPt };
    topPt += slab.heightPt;
    return placed;
  });
}

/** The slabs of a block in portions that each fit into a page. */
function portions(block: PageBlock, firstRoomPt: number, roomPt: number): Slab[][] {
  if (heightOf(block.slabs) <= firstRoomPt) return [[...block.slabs]];
  const parts: Slab[][] = [[]];
  let leftPt = firstRoomPt;
  for (const slab of block.slabs) {
    let last = parts[parts.length - 1] as Slab[];
    // A first slab that has no room below the heading leaves it alone rather than being cut.
    if (slab.heightPt > leftPt && (last.length > 0 || leftPt < roomPt)) {
      last = block.continued === undefined ? [] : [block.continued];
      parts.push(last);
      leftPt = roomPt - heightOf(last);
    }
    if (slab.heightPt > leftPt) throw tooHigh();
    last.push(slab);
    leftPt -= slab.heightPt;
  }
  return parts;
}

/** The page is the limit, and no text is ever cut. */
function tooHigh(): Failure {
  return new Failure({
    code: 'too-long-for-a-page',
    exit: 2,
    summary: 'One part of this sheet is longer than a page, and a sheet never cuts one.',
    next: 'Shorten it in the manifest, or take the sheet with --format html or --format text.',
  });
}

/** Slabs that must stand on one page: headings with what they head. Too high a group falls apart again. */
function groupsOf(blocks: readonly PageBlock[], roomPt: number): Group[] {
  const groups: Group[] = [];
  let head: Slab[] = [];
  let shape = { abovePt: 0, newPage: false, notFirst: false };
  let open = false;
  const push = (slabs: readonly Slab[]) => {
    groups.push({ placed: placedFrom(slabs), heightPt: heightOf(slabs), ...shape });
    shape = { abovePt: 0, newPage: false, notFirst: shape.notFirst };
  };
  for (const block of blocks) {
    if (!open) shape = { abovePt: block.abovePt ?? 0, newPage: false, notFirst: false };
    shape.newPage ||= block.newPage === true;
    shape.notFirst ||= block.notFirst === true;
    open = block.withNext === true && heightOf(head) + heightOf(block.slabs) < roomPt;
    if (open) {
      head = [...head, ...block.slabs];
      continue;
    }
    const whole = heightOf(head) + heightOf(block.slabs) <= roomPt;
    const firstRoomPt = whole ? roomPt : roomPt - heightOf(head);
    portions(block, firstRoomPt, roomPt).forEach((slabs, at) => {
      push(at === 0 ? [...head, ...slabs] : slabs);
    });
    head = [];
  }
  if (head.length > 0) push(head);
  return groups;
}

/** Each page's slabs with their distance from the top of what may be printed. */
export function flowOnPages(blocks: readonly PageBlock[], roomPt: number): PlacedSlab[][] {
  const pages: PlacedSlab[][] = [[]];
  let usedPt = 0;
  for (const { placed, heightPt, abovePt, newPage, notFirst } of groupsOf(blocks, roomPt)) {
    let page = pages[pages.length - 1] as PlacedSlab[];
    const isFull = usedPt + abovePt + heightPt > roomPt + 0.01;
    if (page.length > 0 && (newPage || isFull || (notFirst && pages.length === 1))) {
      page = [];
      pages.push(page);
      usedPt = 0;
    }
    const fromPt = page.length === 0 ? 0 : usedPt + abovePt;
    page.push(...placed.map(({ slab, topPt }) => ({ slab, topPt: fromPt + topPt })));
    usedPt = fromPt + heightPt;
  }
  return pages;
}
