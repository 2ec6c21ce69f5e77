// One entry as a line for people: what it says, without the chain around it. Kinds that are not known are shown
// by their name, since they stand in the record all the same.

import type { Entry } from '../ports/record-store.ts';
import { counted } from '../words/counted.ts';
import { printable } from '../words/printable.ts';
import { type EntryBodies, type EntryKind, knownEntry } from './entry.ts';

type Sentence<K extends EntryKind> = (body: EntryBodies[K]) => (string | undefined)[];

const given = (name: string, value: string | undefined) =>
  value === undefined ? undefined : `${name} ${value}`;

const detailTexts = (details: Readonly<Record<string, string | null>> = {}) =>
  Object.entries(details).map(([name, text]) => `${name} ${text ?? 'taken out'}`);

const collectedAs = {
  file: 'from a pocket page',
  qr: 'from the QR code of a pocket page',
  code: 'from the code of a pocket page',
  'result-file': 'from the file that the unit left on its card',
} as const;

const sentences: { readonly [K in EntryKind]: Sentence<K> } = {
  'unit-added': ({ product, hardware, site }) => [
    `registered: ${product}`,
    given('revision', hardware ?? undefined),
    given('at', site ?? undefined),
  ],
  'unit-changed': ({ product, hardware, site, details }) => [
    'changed:',
    given('product', product),
    given('revision', hardware ?? undefined),
    given('site', site ?? undefined),
    ...detailTexts(details),
  ],
  'unit-moved': ({ site, from, details, why }) => [
    site === null ? 'taken away' : `moved to ${site}`,
    given('from', from ?? undefined),
    ...detailTexts(details),
    given('because:', why),
  ],
  'unit-retired': ({ why }) => ['retired', given('because:', why)],
  'exemption-begun': ({ why, until }) => [
    'exempt',
    given('until', until ?? undefined),
    given('because:', why),
  ],
  'exemption-ended': ({ why }) => ['no longer exempt', given('because:', why)],
  'version-seen': ({ version, evidence, dated }) => [
    `version ${version}`,
    evidence === 'read' ? 'read from the unit' : `reported${dated ? '' : ', undated'}`,
  ],
  'card-prepared': ({ card, release, verdict }) => [`card ${card} prepared for ${release}: ${verdict}`],
  'card-checked': ({ card, release, verdict }) => [`card ${card} checked`, given('for', release), verdict],
  'card-retired': ({ card, why }) => [`card ${card} retired`, given('because:', why)],
  'release-taken-in': ({ release, file, verdict }) => [
    `release ${release} taken in`,
    given('from', file),
    verdict,
  ],
  'release-withdrawn': ({ release, why, doThis }) => [
    `release ${release} withdrawn`,
    given('because:', why),
    given('do this:', doThis),
  ],
  outcome: (body) => [
    body.said === undefined ? body.outcome : `${body.outcome} (said to be ${body.said})`,
    body.release,
    given('version before', body.versionBefore),
    given('version read', body.versionRead),
    body.displayConfirmed ? 'as the display really shows' : undefined,
    given('lights', body.lights),
    body.evidence === 'reported' ? 'not seen' : undefined,
    given('left', body.left),
    given('reason', body.reason),
    given('cause', body.cause),
    given('card', body.card),
    given('case', body.case),
    given('told', body.told),
    body.photos === undefined ? undefined : counted(body.photos.length, 'photo'),
    given('note:', body.note),
    given('sheet', body.sheet),
    body.collected === undefined ? undefined : collectedAs[body.collected.form],
  ],
  'visit-begun': ({ release }) => [`visit begun, ${release}`],
  'step-done': ({ part, step, result, pattern, positions, facts }) => [
    part === 'procedure' ? `step ${step}` : part === 'resume' ? `${step}, on resuming` : step,
    result === 'lights' ? undefined : result,
    given('lights', pattern),
    ...Object.entries(facts).map(([name, value]) => `${name} ${factText(value)}`),
    placed(positions),
  ],
  'visit-ended': ({ outcome, positions, notRestored }) => [
    'visit ended',
    outcome,
    placed(positions),
    notRestored.length === 0 ? undefined : `not restored: ${notRestored.join(', ')}`,
  ],
  note: ({ card, release, text, photos }) => [
    `note: ${text}`,
    given('card', card),
    release,
    photos === undefined ? undefined : counted(photos.length, 'photo'),
  ],
  correction: ({ corrects, kind, body, bodyVersion, why }) => [
    body === undefined
      ? `${corrects.id} does not count`
      : `${corrects.id} is corrected: ${bodyText(kind, bodyVersion ?? 1, body)}`,
    given('because:', why),
  ],
};

function factText(value: unknown): string {
  if (Array.isArray(value)) return value.join(' and ');
  return typeof value === 'object' && value !== null ? JSON.stringify(value) : String(value);
}

function placed(positions: Readonly<Record<string, string>>): string | undefined {
  const list = Object.entries(positions).map(([name, state]) => `${name} ${state}`);
  return list.length === 0 ? undefined : `(${list.join(', ')})`;
}

/** At most `maxLength` characters: a line on a screen, unless whoever asks wants all of it. */
export function entryText(
  { kind, kindVersion, body }: Pick<Entry, 'kind' | 'kindVersion' | 'body'>,
  maxLength = 400,
): string {
  return printable(bodyText(kind, kindVersion, body), maxLength);
}

function bodyText(kind: string, kindVersion: number, body: Entry['body']): string {
  const known = knownEntry({ kind, kindVersion, body } as Entry);
  if (known === undefined) return `${printable(kind, 40)} (written by a newer version)`;
  const parts = (sentences[known.kind] as Sentence<EntryKind>)(known.body);
  return parts
    .filter((part) => part !== undefined)
    .join(', ')
    .replace(/:, /g, ': ');
}
