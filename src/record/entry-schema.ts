// The bodies of entries as schemas, for what comes from outside (packets, pocket pages) and to prove what is
// written here. Loaded only then: the commands build typed bodies. Unknown names in a body are kept.

import * as z from 'zod';
import { type Correction, type EntryBodies, type EntryKind, kindVersions } from './entry.ts';

const text = (max: number) => z.string().min(1).max(max);
const serial = text(64);
const name = text(80);
const version = text(64);
const release = text(140);
const digest = z.string().regex(/^[0-9a-f]{64}$/);
const count = z.int().min(0);
const details = z.record(text(40), text(2000));
const photos = z.array(z.looseObject({ sha256: digest, bytes: count, name: text(255) })).max(20);
/** Position -> state, by the manifest's names. */
const positions = z.record(text(40), text(40));

/** `exactOptional`: an absent name is absent, not undefined, since the text that is hashed cannot tell them apart. */
const may = z.exactOptional;

export const bodySchemas: { readonly [K in EntryKind]: z.ZodType<EntryBodies[K]> } = {
  'unit-added': z.looseObject({
    serial,
    product: name,
    hardware: name.nullable(),
    site: text(200).nullable(),
    details,
  }),
  'unit-changed': z.looseObject({
    serial,
    product: may(name),
    hardware: may(name.nullable()),
    site: may(text(200).nullable()),
    details: may(z.record(text(40), text(2000).nullable())),
  }),
  'unit-moved': z.looseObject({
    serial,
    site: text(200).nullable(),
    from: text(200).nullable(),
    details: may(z.record(text(40), text(2000).nullable())),
    why: may(text(2000)),
  }),
  'unit-retired': z.looseObject({ serial, why: may(text(2000)) }),
  'exemption-begun': z.looseObject({ serial, why: text(2000), until: z.iso.date().nullable() }),
  'exemption-ended': z.looseObject({ serial, why: may(text(2000)) }),
  'version-seen': z.looseObject({
    serial,
    version,
    evidence: z.enum(['read', 'reported']),
    dated: z.boolean(),
  }),
  'card-prepared': z.looseObject({
    card: text(4096),
    release,
    verdict: z.enum(['ready', 'not-ready']),
    file: z.looseObject({ path: text(1000), bytes: count, sha256: digest }),
    readBack: z.looseObject({ method: z.enum(['direct', 'reinserted', 'image', 'cached']), sha256: digest }),
    sizeBytes: count,
    volumeId: may(text(40)),
    cardId: may(text(40)),
    fresh: z.boolean(),
    kept: count,
    removed: count,
    despiteHalt: may(text(2000)),
  }),
  'card-checked': z.looseObject({
    card: text(4096),
    release: may(release),
    verdict: z.enum(['ready', 'fixable', 'unfit', 'sound', 'unsound']),
    stops: z.array(name).max(1000),
  }),
  'card-retired': z.looseObject({ card: text(4096), why: text(2000) }),
  'release-taken-in': z.looseObject({
    release,
    file: text(255),
    bytes: count,
    digests: z.record(text(20), z.string().regex(/^[0-9a-f]{8,128}$/)),
    as: z.enum(['image', 'download']),
    verdict: z.enum(['matches', 'differs', 'unknown']),
  }),
  'release-withdrawn': z.looseObject({ release, why: text(2000), doThis: may(text(2000)) }),
  outcome: z.looseObject({
    serial,
    outcome: z.enum(['updated', 'failed', 'deferred', 'already-current']),
    evidence: z.enum(['lights', 'read', 'reported']),
    release: may(release),
    versionBefore: may(version),
    versionRead: may(version),
    displayConfirmed: may(z.literal(true)),
    said: may(z.enum(['updated', 'failed', 'deferred', 'already-current'])),
    lights: may(name),
    left: may(z.enum(['running', 'off', 'locked-off', 'no-life'])),
    reason: may(name),
    cause: may(name),
    card: may(text(4096)),
    photos: may(photos),
    case: may(name),
    told: may(name),
    note: may(text(2000)),
    sheet: may(text(20)),
    collected: may(
      z.looseObject({
        form: z.enum(['file', 'qr', 'code', 'result-file']),
        id: z.string().regex(/^[0-9a-f]{32}$/),
        sha256: may(digest),
      }),
    ),
  }),
  'visit-begun': z.looseObject({
    serial,
    release,
    procedure: digest,
    turn: may(z.object({ first: z.boolean(), last: z.boolean() })),
  }),
  'step-done': z.looseObject({
    serial,
    visit: name,
    part: z.enum(['before', 'procedure', 'resume', 'after']),
    step: name,
    result: name,
    pattern: may(name),
    positions,
    facts: z.record(text(40), z.json()),
  }),
  'visit-ended': z.looseObject({
    serial,
    visit: name,
    release,
    outcome: z.enum(['updated', 'failed', 'deferred', 'already-current']),
    step: may(text(200)),
    by: z.enum(['before', 'procedure', 'service', 'stop']),
    positions,
    notRestored: z.array(text(200)).max(100),
  }),
  note: z.looseObject({
    serial: may(serial),
    card: may(text(4096)),
    release: may(release),
    text: text(2000),
    photos: may(photos),
  }),
  correction: z
    .looseObject({
      serial: may(serial),
      corrects: z.looseObject({ id: name, hash: digest }),
      kind: name,
      why: text(2000),
      void: may(z.literal(true)),
      body: may(z.record(z.string(), z.json())),
      bodyVersion: may(z.int().min(1)),
    })
    .refine((one) => (one.void === undefined) === (one.body !== undefined && one.bodyVersion !== undefined), {
      message: 'either void, or body with bodyVersion',
    })
    .refine(({ body, bodyVersion }) => (body === undefined) === (bodyVersion === undefined), {
      message: 'body and bodyVersion go together',
    }),
};

/** What is wrong with a body, in words; undefined where it is right or its kind is not known. */
export function bodyFault(kind: string, body: unknown): string | undefined {
  if (!Object.hasOwn(bodySchemas, kind)) return undefined;
  const result = bodySchemas[kind as EntryKind].safeParse(body);
  if (result.success) return kind === 'correction' ? newBodyFault(result.data as Correction) : undefined;
  const issue = result.error.issues[0];
  return issue === undefined ? 'not the right form' : `${issue.path.join('.') || kind}: ${issue.message}`;
}

/**
 * What a correction says instead is held to the form of its kind, as far as that is known. One that names another
 * correction or another unit has a form as well: it does not count.
 */
function newBodyFault({ kind, body, bodyVersion }: Correction): string | undefined {
  if (body === undefined) return undefined;
  const isKnown = Object.hasOwn(kindVersions, kind) && (bodyVersion ?? 1) <= kindVersions[kind as EntryKind];
  return isKnown ? bodyFault(kind, body) : undefined;
}
