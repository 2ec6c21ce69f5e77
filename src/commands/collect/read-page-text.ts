// From a text to what pocket pages may have put into it: one file, one QR code, or a line for each QR code or spoken
// code. Believes nothing yet; bounds what is looked at.

import { qrLead } from '../../sheet/outcome/outcome-qr.ts';
import { longestOutcomeFile, peekOutcome } from '../../sheet/outcome/read-outcome.ts';
import { type Offer, refusedOffer } from './offer.ts';

/** Of a text that holds a line for each outcome. */
const longestLines = 200_000;
const mostLines = 200;

const looksLikeQr = (text: string) => text.trimStart().slice(0, qrLead.length).toUpperCase() === qrLead;
/** Letters, digits and what stands between groups: whatever else it is, it is no code. */
const looksLikeCode = (text: string) =>
  text.length <= 400 && /^[A-Za-z0-9\s._\-\u2010-\u2015\u2212]+$/.test(text);

export function readPageText(text: string, source: string): Offer[] {
  const whole = peekOutcome(text);
  if (whole !== undefined) return [{ kind: 'page', source, text, ...whole }];
  const malformed = refusedOffer(
    source,
    'malformed',
    'This holds no outcome of a pocket page.',
    "Give the page's file, or a text with its QR codes or codes, a line each.",
  );
  if (text.length > longestOutcomeFile) {
    const next = 'Check that this is the file which the page made, and have the page give it again.';
    return [refusedOffer(source, 'too-large', 'This is longer than any outcome of a pocket page.', next)];
  }
  const lines = text.replace(/^\ufeff/, '').split(/\r?\n/);
  const used = lines.flatMap((line, index) => (line.trim() === '' ? [] : [{ line, number: index + 1 }]));
  if (text.length > longestLines || used.length > mostLines || used.length === 0) return [malformed];
  // Lines of a QR code that a message broke.
  if (used.length > 1 && looksLikeQr(text) && !used.slice(1).some(({ line }) => looksLikeQr(line))) {
    const joined = used.map(({ line }) => line).join('');
    if (peekOutcome(joined) !== undefined) return [pageLine(joined, source)];
  }
  if (!used.every(({ line }) => looksLikeQr(line) || looksLikeCode(line))) return [malformed];
  const single = used.length === 1;
  return used.map(({ line, number }) => pageLine(line, single ? source : `${source}:${number}`));
}

/** One QR code or one spoken code. */
export function pageLine(line: string, source: string): Offer {
  const form = looksLikeQr(line) ? 'qr' : 'code';
  return { kind: 'page', source, form, text: line, sheet: peekOutcome(line)?.sheet };
}
