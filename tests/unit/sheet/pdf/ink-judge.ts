// A judge of inked pages that knows nothing of what they say: nothing outside what a printer can print, no text over
// another or through a line of writing, no empty page. Each complaint is a line.

import type { Ink, PaperSize } from '../../../../src/ports/pdf-press.ts';

/** What office printers leave white. */
const edgePt = 12;

interface Area {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
  readonly name: string;
}

type Widths = (text: string, face: 'plain' | 'bold', sizePt: number) => number;

function areaOf(ink: Ink, widthOf: Widths): Area {
  switch (ink.kind) {
    case 'text': {
      const { xPt, baselinePt, sizePt, text, face } = ink;
      // From the top of the capitals to the baseline: descenders may reach into the gap below.
      return {
        left: xPt,
        top: baselinePt - 0.7 * sizePt,
        right: xPt + widthOf(text, face, sizePt),
        bottom: baselinePt,
        name: text,
      };
    }
    case 'line': {
      const [x1, y1] = ink.fromPt;
      const [x2, y2] = ink.toPt;
      return {
        left: Math.min(x1, x2),
        top: Math.min(y1, y2),
        right: Math.max(x1, x2),
        bottom: Math.max(y1, y2),
        name: 'line',
      };
    }
    case 'box':
      return {
        left: ink.xPt,
        top: ink.yPt,
        right: ink.xPt + ink.widthPt,
        bottom: ink.yPt + ink.heightPt,
        name: 'box',
      };
  }
}

const slackPt = 0.3;

function overlap(a: Area, b: Area): boolean {
  return (
    a.left < b.right - slackPt &&
    b.left < a.right - slackPt &&
    a.top < b.bottom - slackPt &&
    b.top < a.bottom - slackPt
  );
}

export function inkComplaints(
  pages: readonly (readonly Ink[])[],
  paper: PaperSize,
  widthOf: Widths,
): string[] {
  const told: string[] = [];
  pages.forEach((inks, index) => {
    const page = `page ${index + 1}`;
    const areas = inks.map((ink) => areaOf(ink, widthOf));
    for (const area of areas) {
      const outside =
        area.left < edgePt ||
        area.top < edgePt ||
        area.right > paper.widthPt - edgePt ||
        area.bottom > paper.heightPt - edgePt;
      if (outside) told.push(`${page}: outside: ${area.name} ${JSON.stringify(area)}`);
    }
    const texts = areas.filter((_, at) => inks[at]?.kind === 'text').sort((a, b) => a.top - b.top);
    if (texts.length < 3) told.push(`${page} is empty`);
    // Solid boxes are lights and QR codes: no letter stands on one.
    const solid = areas.filter((_, at) => {
      const ink = inks[at];
      return ink?.kind === 'box' && ink.fill !== null;
    });
    texts.forEach((text, at) => {
      for (const other of texts.slice(at + 1)) {
        if (other.top > text.bottom) break;
        if (overlap(text, other)) told.push(`${page}: "${text.name}" and "${other.name}" overlap`);
      }
      for (const one of solid)
        if (overlap(text, one)) told.push(`${page}: "${text.name}" lies on a solid box`);
    });
  });
  return told;
}
