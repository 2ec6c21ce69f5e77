// The photos and result files that entries name, kept in the workspace by digest: is each there, and unchanged? What
// another laptop's entries name lies with that laptop, since packets carry no photos. Changes nothing.

import { startSha256 } from '../bytes/sha256.ts';
import type { Entry, JsonValue, RecordStore } from '../ports/record-store.ts';
import type { UnitRecord } from '../record/unit-record.ts';
import { counted } from '../words/counted.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { printable } from '../words/printable.ts';
import type { Context } from './context.ts';
import { stopPoint } from './stop-point.ts';

export interface EvidenceCheck {
  /** Files whose bytes agree with the digest that an entry names. */
  readonly sound: number;
  readonly findings: readonly Finding[];
}

const maxFindings = 200;
const digestForm = /^[0-9a-f]{64}$/;
/** What is said of a check that was stopped. */
export const notToItsEnd = 'the record was not checked to its end';

/** Kinds whose bodies name files. */
const kinds = ['outcome', 'note', 'correction'] as const;

export async function checkEvidence(
  context: Pick<Context, 'files' | 'workspace' | 'stop'>,
  store: RecordStore<UnitRecord>,
): Promise<EvidenceCheck> {
  const { files, workspace } = context;
  const findings: Finding[] = [];
  const add = (finding: Finding) => {
    if (findings.length < maxFindings) findings.push(finding);
  };
  const named = await namedFiles(store).catch((error: unknown) => {
    if (!(error instanceof Failure)) throw error;
    return undefined;
  });
  if (named === undefined) return { sound: 0, findings: [notChecked(workspace.evidence)] };
  const here = new Set<string>();
  let sound = 0;
  let extra = 0;
  for (const { name, kind } of files.list(workspace.evidence)) {
    const where = `${workspace.evidence}/${printable(name, 100)}`;
    const digest = /^([0-9a-f]{64})(?:\.[a-z0-9]{1,5})?$/.exec(name)?.[1];
    const by = digest === undefined ? undefined : named.get(digest);
    if (digest === undefined || by === undefined || kind !== 'file') {
      extra += 1;
      if (extra <= 20) add(extraFile(where));
      continue;
    }
    await stopPoint(context, notToItsEnd);
    const seen = digestOf(files.chunks(`${workspace.evidence}/${name}`));
    here.add(digest);
    if (seen === digest) sound += 1;
    else add(altered(where, seen, digest, by));
  }
  let elsewhere = 0;
  for (const [digest, entry] of named) {
    if (here.has(digest)) continue;
    if (entry.laptop !== store.laptop) elsewhere += 1;
    else add(missing(workspace.evidence, digest, entry));
  }
  if (elsewhere > 0) add(keptElsewhere(elsewhere));
  return { sound, findings };
}

/** Digest to the first entry that names it; this laptop's own before another's. */
async function namedFiles(store: RecordStore<UnitRecord>): Promise<Map<string, Entry>> {
  const named = new Map<string, Entry>();
  for (const kind of kinds) {
    for await (const entry of store.entries({ kind })) {
      const correcting = isObject(entry.body.body) ? digestsIn(entry.body.body) : [];
      for (const digest of [...digestsIn(entry.body), ...correcting]) {
        const known = named.get(digest);
        if (known === undefined || (known.laptop !== store.laptop && entry.laptop === store.laptop)) {
          named.set(digest, entry);
        }
      }
    }
  }
  return named;
}

/** Entries may come from a newer version or from anybody: nothing of their form is taken for granted. */
function digestsIn(body: Entry['body']): string[] {
  const photos = Array.isArray(body.photos) ? (body.photos as readonly JsonValue[]) : [];
  return [...photos, body.collected]
    .map((named) => (isObject(named) ? named.sha256 : undefined))
    .filter((digest): digest is string => typeof digest === 'string' && digestForm.test(digest));
}

function isObject(value: JsonValue | undefined): value is { readonly [name: string]: JsonValue | undefined } {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function digestOf(chunks: Iterable<Uint8Array>): string {
  const digest = startSha256();
  for (const chunk of chunks) digest.update(chunk);
  return digest.hex();
}

function altered(where: string, seen: string, expected: string, { id }: Entry): Finding {
  return {
    code: 'evidence-altered',
    severity: 'stop',
    summary: `A photo or result file is not the one that was kept; ${id} names it.`,
    seen,
    expected,
    where,
    next: 'Keep it as it is, and put the right one beside it from a back-up of the folder.',
  };
}

function missing(folder: string, digest: string, { id }: Entry): Finding {
  return {
    code: 'evidence-missing',
    severity: 'stop',
    summary: `A photo or result file is gone; ${id} names it.`,
    expected: digest,
    where: folder,
    next: 'Look for it in a back-up of that folder, or on the phone that took it: log it again if it is found.',
  };
}

function extraFile(where: string): Finding {
  return {
    code: 'evidence-extra',
    severity: 'note',
    summary: 'A file lies among the evidence that no entry names.',
    where,
    next: 'Leave it, or move it away: nothing rests on it.',
  };
}

function keptElsewhere(count: number): Finding {
  return {
    code: 'evidence-elsewhere',
    severity: 'note',
    summary: `${counted(count, 'photo or result file', 'photos or result files')} that other laptops' entries name ${count === 1 ? 'is' : 'are'} not here: packets and back-ups carry none.`,
    next: 'Ask for them at the laptop that logged them.',
  };
}

function notChecked(where: string): Finding {
  return {
    code: 'evidence-not-checked',
    severity: 'warn',
    summary:
      'Photos and result files were not looked at, since the entries that name them cannot all be read.',
    where,
    next: 'See to the record first, then run slotproof record check again.',
  };
}
