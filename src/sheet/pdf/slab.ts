// A slab is something of a known height that can be put anywhere on a page: text that has been set, a drawing, a
// box to tick, or several of these one below or beside another. Slabs are never cut.

import type { Ink } from '../../ports/pdf-press.ts';

export interface Slab {
  readonly heightPt: number;
  /** The ink of it with its top left corner there. */
  inkAt(xPt: number, yPt: number): Ink[];
}

export const nothing: Slab = { heightPt: 0, inkAt: () => [] };

export function space(heightPt: number): Slab {
  return { heightPt, inkAt: () => [] };
}

export function stack(slabs: readonly Slab[], gapPt = 0): Slab {
  const filled = slabs.filter((slab) => slab !== nothing);
  const heightPt =
    filled.reduce((sum, slab) => sum + slab.heightPt, 0) + gapPt * Math.max(0, filled.length - 1);
  return {
    heightPt,
    inkAt(xPt, yPt) {
      let topPt = yPt;
      return filled.flatMap((slab) => {
        const ink = slab.inkAt(xPt, topPt);
        topPt += slab.heightPt + gapPt;
        return ink;
      });
    },
  };
}

/** Tops in one line, each at its own distance from the left. */
export function beside(cells: readonly { readonly leftPt: number; readonly slab: Slab }[]): Slab {
  return {
    heightPt: Math.max(0, ...cells.map(({ slab }) => slab.heightPt)),
    inkAt: (xPt, yPt) => cells.flatMap(({ leftPt, slab }) => slab.inkAt(xPt + leftPt, yPt)),
  };
}

export interface Inset {
  readonly leftPt?: number;
  readonly topPt?: number;
  readonly bottomPt?: number;
}

export function inset(slab: Slab, { leftPt = 0, topPt = 0, bottomPt = 0 }: Inset): Slab {
  return {
    heightPt: slab.heightPt + topPt + bottomPt,
    inkAt: (xPt, yPt) => slab.inkAt(xPt + leftPt, yPt + topPt),
  };
}

export function rule(widthPt: number, strokePt: number): Slab {
  return {
    heightPt: strokePt,
    inkAt(xPt, yPt) {
      const middlePt = yPt + strokePt / 2;
      return [{ kind: 'line', fromPt: [xPt, middlePt], toPt: [xPt + widthPt, middlePt], strokePt }];
    },
  };
}

export function box(widthPt: number, heightPt: number, strokePt: number, fill: string | null = null): Slab {
  return {
    heightPt,
    inkAt: (xPt, yPt) => [{ kind: 'box', xPt, yPt, widthPt, heightPt, fill, strokePt }],
  };
}

export interface Frame {
  readonly widthPt: number;
  readonly strokePt: number;
  readonly paddingPt: number;
}

export function framed(slab: Slab, { widthPt, strokePt, paddingPt }: Frame): Slab {
  const heightPt = slab.heightPt + 2 * paddingPt;
  return {
    heightPt,
    inkAt: (xPt, yPt) => [
      { kind: 'box', xPt, yPt, widthPt, heightPt, fill: null, strokePt },
      ...slab.inkAt(xPt + paddingPt, yPt + paddingPt),
    ],
  };
}

/** Slabs dealt out to columns in their order, the first column filled first, as evenly as their heights allow. */
export function columns(
  slabs: readonly Slab[],
  widthsPt: readonly number[],
  gapPt: number,
  betweenPt: number,
): Slab {
  const count = widthsPt.length;
  const dealt = deal(slabs, count, betweenPt);
  let leftPt = 0;
  return beside(
    dealt.map((column, at) => {
      const cell = { leftPt, slab: stack(column, betweenPt) };
      leftPt += (widthsPt[at] ?? 0) + gapPt;
      return cell;
    }),
  );
}

/** The lowest height into which all of them can be dealt, found by trying each height that could be one. */
function deal(slabs: readonly Slab[], count: number, betweenPt: number): Slab[][] {
  const total = stack(slabs, betweenPt).heightPt;
  let low = Math.max(total / count, ...slabs.map(({ heightPt }) => heightPt));
  let high = Math.max(total, low);
  for (let turn = 0; turn < 24 && high - low > 0.1; turn++) {
    const middle = (low + high) / 2;
    if (fill(slabs, middle, betweenPt).length <= count) high = middle;
    else low = middle;
  }
  return fill(slabs, high, betweenPt);
}

function fill(slabs: readonly Slab[], heightPt: number, betweenPt: number): Slab[][] {
  const filled: Slab[][] = [[]];
  let usedPt = 0;
  for (const slab of slabs) {
    const last = filled[filled.length - 1] as Slab[];
    const addedPt = slab.heightPt + (last.length > 0 ? betweenPt : 0);
    if (last.length > 0 && usedPt + addedPt > heightPt + 0.01) {
      filled.push([slab]);
      usedPt = slab.heightPt;
      continue;
    }
    last.push(slab);
    usedPt += addedPt;
  }
  return filled;
}
