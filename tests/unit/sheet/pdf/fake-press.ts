// A press whose letters are all half as wide as they are high, bold ones six tenths: widths can be counted by hand.

import type { PdfPress } from '../../../../src/ports/pdf-press.ts';

export const fakePress: PdfPress = {
  widthOf: (text, face, sizePt) => [...text].length * sizePt * (face === 'bold' ? 0.6 : 0.5),
  lacking: () => [],
  print: () => Promise.reject(new Error('this press prints nothing')),
};
