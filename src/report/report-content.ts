// What stands in a report on one unit, section by section, as a maker wants it for a claim: what the unit is, what was done
// and seen with what, who says so and when, how everything was left, and the entries behind it. It draws no conclusions
// beyond the record's own, and says what a chain of hashes can show and what it cannot.

import { releaseKey } from '../manifest/catalogue.ts';
import type { Entry } from '../ports/record-store.ts';
import { correctionOf, correctionsIn } from '../record/as-corrected.ts';
import {
  type EntryBodies,
  type EntryKind,
  type KnownEntry,
  knownEntry,
  type Photo,
} from '../record/entry.ts';
import { entryText } from '../record/entry-text.ts';
import { formatMark } from '../record/mark-text.ts';
import { formatBytes } from '../words/size.ts';
import {
  fieldsOf,
  paragraphOf,
  type Report,
  type ReportBlock,
  type ReportSection,
  tableOf,
} from './report.ts';
import type { ReportFacts } from './report-facts.ts';

type Of<K extends EntryKind> = Extract<KnownEntry, { kind: K }>;

/** `2026-11-24 14:30 (+01:00)`. */
const time = (iso: string) =>
  `${iso.slice(0, 16).replace('T', ' ')} (${/(?:Z|[+-]\d\d:\d\d)$/.exec(iso)?.[0] ?? ''})`;

const people = ({ typedBy, doneBy }: Pick<Entry, 'typedBy' | 'doneBy'>) =>
  typedBy === doneBy ? doneBy : `${doneBy}, typed by ${typedBy}`;

const evidences = {
  read: 'the version was read from the unit',
  lights: 'by its lights alone',
  reported: 'reported, not seen',
} as const;

const sources = {
  file: 'from a pocket page, as its file',
  qr: 'from a pocket page, as its QR code',
  code: 'from a pocket page, as its spoken code',
  'result-file': 'from the file that the unit left on its card',
} as const;

const methods = {
  direct: 'read from the card itself, past the computer’s memory',
  reinserted: 'read after the card was out and in again',
  image: 'read from the card image file',
  cached: 'read through the computer’s memory, which proves nothing of the card',
} as const;

class ReportContent {
  readonly #facts: ReportFacts;
  readonly #known: readonly KnownEntry[];
  readonly #corrections: ReturnType<typeof correctionsIn>;

  constructor(facts: ReportFacts) {
    this.#facts = facts;
    this.#known = facts.entries.map(knownEntry).filter((one) => one !== undefined);
    this.#corrections = correctionsIn(facts.entries);
  }

  #all<K extends EntryKind>(kind: K): Of<K>[] {
    return this.#known.filter((one): one is Of<K> => one.kind === kind);
  }

  report(): Report {
    const { unit, made } = this.#facts;
    const sections = [
      this.#unitSection(),
      this.#versionSection(),
      ...this.#all('outcome').map((outcome, index) => this.#outcomeSection(outcome, index + 1)),
      ...this.#all('visit-begun').map((visit) => this.#visitSection(visit)),
      this.#releaseSection(),
      this.#sourceSection(),
      this.#noteSection(),
      this.#correctionSection(),
      this.#entrySection(),
      this.#markSection(),
    ];
    return {
      title: `Report on unit ${unit.serial}`,
      sections: sections.filter((section) => section.blocks.length > 0),
      foot: `Unit ${unit.serial}, report made ${time(made.at)}`,
    };
  }

  #unitSection(): ReportSection {
    const { unit, product, standing, made } = this.#facts;
    const { details } = unit;
    return {
      title: 'The unit',
      blocks: [
        fieldsOf(
          ['Serial', unit.serial],
          ['Maker', product?.maker],
          ['Product', product === undefined ? unit.product : `${product.name} (${product.id})`],
          ['Hardware revision', unit.hardware ?? 'not known'],
          ['Site', unit.site],
          ...Object.entries(details).map(
            ([name, text]) => [`${name[0]?.toUpperCase() ?? ''}${name.slice(1)}`, text] as const,
          ),
          ['Status', standing.status],
          ['Why', standing.why],
          ['Left', unit.left],
          [
            'Case numbers',
            [...new Set(this.#all('outcome').flatMap(({ body }) => body.case ?? []))].join(', '),
          ],
          ['Report made', `${time(made.at)}${made.by === null ? '' : ` by ${made.by}`}`],
        ),
      ],
    };
  }

  #versionSection(): ReportSection {
    const rows = this.#known.flatMap((entry) => {
      const row = (version: string, how: string) => [
        time(entry.claimedAt),
        version,
        how,
        people(entry),
        entry.id,
      ];
      if (entry.kind === 'version-seen') {
        const { version, evidence, dated } = entry.body;
        return [
          row(
            version,
            evidence === 'read' ? 'read from the unit' : dated ? 'reported' : 'reported, without a date',
          ),
        ];
      }
      if (entry.kind !== 'outcome') return [];
      const { versionBefore, versionRead } = entry.body;
      return [
        ...(versionBefore === undefined ? [] : [row(versionBefore, 'before the visit')]),
        ...(versionRead === undefined ? [] : [row(versionRead, 'read from the unit')]),
      ];
    });
    if (rows.length === 0) return { title: 'Versions', blocks: [] };
    return {
      title: 'Versions',
      blocks: [tableOf(['When', 'Version', 'How it is known', 'By', 'Entry'], rows)],
    };
  }

  #outcomeSection(entry: Of<'outcome'>, number: number): ReportSection {
    const { body } = entry;
    const { card } = body;
    return {
      title: `Outcome ${number}: ${body.outcome}`,
      blocks: [
        ...this.#remark(entry),
        fieldsOf(
          ['When', `${time(entry.claimedAt)}; written ${time(entry.writtenAt)}`],
          ['By', people(entry)],
          ['How it is known', evidences[body.evidence]],
          ['Release', body.release],
          ['Version before', body.versionBefore],
          ['Version read', body.versionRead],
          ['Display', body.displayConfirmed === true ? 'confirmed: it really shows this version' : null],
          ['Said to be', body.said],
          ['Lights', body.lights === undefined ? null : this.#lights(body.lights)],
          ['Left', body.left],
          ['Reason', body.reason],
          ['Cause', body.cause],
          ['Case number', body.case],
          ['Told', body.told],
          ['Note', body.note],
          ['Sheet', body.sheet],
          ['Came in', body.collected === undefined ? null : sources[body.collected.form]],
          ['Its bytes', body.collected?.sha256 === undefined ? null : `sha256 ${body.collected.sha256}`],
          ['Card', card],
          ['Entry', entry.id],
        ),
        ...photoBlocks(body.photos),
        ...(card === undefined ? [] : this.#cardBlocks(card, entry.claimedMs)),
      ],
    };
  }

  #lights(pattern: string): string {
    const means = this.#facts.product?.patterns.find(({ id }) => id === pattern)?.means;
    return means === undefined ? pattern : `${pattern}: ${means}`;
  }

  /** The newest preparation before the card was used, and the looks between. */
  #cardBlocks(card: string, usedMs: number): ReportBlock[] {
    const entries = this.#facts.cardEntries
      .map(knownEntry)
      .filter((one) => one !== undefined && (one.kind === 'card-prepared' || one.kind === 'card-checked'))
      .filter(({ body, claimedMs }) => claimedMs <= usedMs && isCard(body.card, card));
    const prepared = entries.findLast((one) => one.kind === 'card-prepared');
    if (prepared?.kind !== 'card-prepared') return [paragraphOf('No preparation of this card is on record.')];
    const { body } = prepared;
    const looks = entries.filter((one) => one.kind === 'card-checked' && one.claimedMs >= prepared.claimedMs);
    return [
      fieldsOf(
        [
          'The card',
          `prepared ${time(prepared.claimedAt)} by ${people(prepared)} for ${body.release}: ${body.verdict}`,
        ],
        [
          'Size, volume',
          `${formatBytes(body.sizeBytes)} bytes${body.volumeId === undefined ? '' : `, volume ${body.volumeId}`}${body.fresh ? ', laid out anew' : ''}`,
        ],
        [
          'Firmware file',
          `${body.file.path}, ${formatBytes(body.file.bytes)} bytes, sha256 ${body.file.sha256}`,
        ],
        ['Read back', `${methods[body.readBack.method]}: sha256 ${body.readBack.sha256}`],
        ['Entry', prepared.id],
        ...looks.map(
          (look) =>
            [
              'Looked at',
              `${time(look.claimedAt)} by ${people(look)}: ${(look.body as EntryBodies['card-checked']).verdict}, entry ${look.id}`,
            ] as const,
        ),
      ),
    ];
  }

  #visitSection(visit: Of<'visit-begun'>): ReportSection {
    const steps = this.#all('step-done').filter(({ body }) => body.visit === visit.id);
    const end = this.#all('visit-ended').find(({ body }) => body.visit === visit.id);
    const today = this.#facts.procedures.get(visit.body.release);
    const same =
      today === undefined
        ? null
        : today === visit.body.procedure
          ? 'as the manifest has it today'
          : 'another than the manifest has today';
    return {
      title: `Visit ${visit.id}`,
      blocks: [
        fieldsOf(
          ['Begun', `${time(visit.claimedAt)} by ${people(visit)}`],
          ['Release', visit.body.release],
          ['Procedure', `sha256 ${visit.body.procedure}`],
          ['', same],
          [
            'Ended',
            end === undefined
              ? 'not on record'
              : `${time(end.claimedAt)}: ${end.body.outcome}, by ${end.body.by}${end.body.step === undefined ? '' : `, step ${end.body.step}`}`,
          ],
          ['Positions left', end === undefined ? null : positionsText(end.body.positions)],
          ['Not restored', end?.body.notRestored.join(', ')],
        ),
        ...(steps.length === 0
          ? []
          : [
              tableOf(
                ['When', 'What was done and seen', 'Positions', 'Entry'],
                steps.map((step) => [
                  step.claimedAt.slice(11, 19),
                  this.#stepText(step),
                  positionsText(step.body.positions),
                  step.id,
                ]),
              ),
            ]),
      ],
    };
  }

  #stepText(step: Of<'step-done'>): string {
    const { positions: _, ...body } = step.body;
    const said = entryText({ ...step, body: { ...body, positions: {} } } as unknown as Entry);
    return body.pattern === undefined ? said : `${said}: ${this.#lights(body.pattern)}`;
  }

  #releaseSection(): ReportSection {
    const named = new Set(
      this.#known.flatMap(({ body }) =>
        'release' in body && typeof body.release === 'string' ? [body.release] : [],
      ),
    );
    const rows = this.#facts.releases
      .filter((release) => named.has(releaseKey(release)))
      .map(({ version, issued, image, withdrawn }) => [
        version,
        issued,
        `${image.name}, ${formatBytes(image.bytes)} bytes`,
        Object.entries(image.digests)
          .map(([kind, digest]) => `${kind} ${digest}`)
          .join('; '),
        withdrawn === undefined ? '' : `withdrawn ${withdrawn.on}: ${withdrawn.why}`,
      ]);
    if (rows.length === 0) return { title: 'Firmware', blocks: [] };
    return { title: 'Firmware', blocks: [tableOf(['Version', 'Issued', 'File', 'Digests', 'Remark'], rows)] };
  }

  #sourceSection(): ReportSection {
    const { product, newsDay } = this.#facts;
    if (product === undefined) return { title: 'The procedure', blocks: [] };
    const { source, revision, writtenBy, checkedBy } = product;
    const second = checkedBy === undefined || checkedBy === writtenBy ? 'nobody else' : checkedBy;
    return {
      title: 'The procedure',
      blocks: [
        fieldsOf(
          [
            'From',
            source === undefined
              ? 'not stated'
              : `${source.document}${source.issue === undefined ? '' : `, issue ${source.issue}`}${source.page === undefined ? '' : `, page ${source.page}`}`,
          ],
          ['Manifest', revision === undefined ? product.id : `${product.id}, revision ${revision}`],
          ['Written by', writtenBy ?? 'not stated'],
          ['Checked by', second],
          ['Manifest news', newsDay === null ? 'not known' : `newest of ${newsDay}`],
        ),
        paragraphOf('Checked for gaps; not a safety approval.'),
      ],
    };
  }

  #noteSection(): ReportSection {
    return {
      title: 'Notes',
      blocks: this.#all('note').flatMap((note) => [
        fieldsOf([time(note.claimedAt), `${note.body.text} (${people(note)}, entry ${note.id})`]),
        ...photoBlocks(note.body.photos),
      ]),
    };
  }

  #remark(entry: KnownEntry): ReportBlock[] {
    const correction = correctionOf(entry as unknown as Entry, this.#corrections);
    if (correction === undefined) return [];
    const what = correction.body.void === true ? 'It does not count' : 'It counts as corrected';
    return [
      paragraphOf(
        `${what}: ${correction.body.why} (entry ${correction.id}). Below it stands as it was first written.`,
      ),
    ];
  }

  #correctionSection(): ReportSection {
    return {
      title: 'Corrections',
      blocks: this.#all('correction').map((one) => {
        const { corrects, why, body, kind } = one.body;
        const says =
          body === undefined
            ? 'it does not count'
            : entryText({ ...one, kind, kindVersion: one.body.bodyVersion ?? 1, body } as unknown as Entry);
        return fieldsOf(
          ['Entry', corrects.id],
          ['Is to say', says],
          ['Because', why],
          ['Corrected', `${time(one.writtenAt)} by ${people(one)}, entry ${one.id}`],
        );
      }),
    };
  }

  #entrySection(): ReportSection {
    const { entries, cardEntries } = this.#facts;
    const row = ({ id, kind, claimedAt, writtenAt, hash }: Entry) => [
      id,
      kind,
      time(claimedAt),
      time(writtenAt),
      hash,
    ];
    return {
      title: 'The entries behind this',
      blocks: [
        tableOf(['Entry', 'Kind', 'Claimed', 'Written', 'SHA-256'], [...entries, ...cardEntries].map(row)),
      ],
    };
  }

  #markSection(): ReportSection {
    return {
      title: 'What this rests on',
      blocks: [
        ...this.#facts.marks.map((mark) => fieldsOf([`Mark of laptop ${mark.laptop}`, formatMark(mark)])),
        paragraphOf(
          'Every entry carries the hash of the one before it on its laptop. With a mark held elsewhere this shows whether an entry up to that mark was changed, moved or removed. It does not show that an entry was true when it was written, nor who sat at the laptop; and without such a mark it does not show that newer entries were cut off or all were written anew.',
        ),
      ],
    };
  }
}

function positionsText(positions: Readonly<Record<string, string>>): string {
  return Object.entries(positions)
    .map(([name, state]) => `${name} ${state}`)
    .join(', ');
}

/** By its name, or by the last part of an image file's path. */
function isCard(kept: string, named: string): boolean {
  return kept === named || kept.split(/[\\/]/).at(-1) === named;
}

function photoBlocks(photos: readonly Photo[] | undefined): ReportBlock[] {
  if (photos === undefined || photos.length === 0) return [];
  const rows = photos.map(({ name, bytes, sha256 }) => [name, `${formatBytes(bytes)} bytes`, sha256]);
  return [tableOf(['Photo', 'Size', 'SHA-256'], rows)];
}

export function reportContent(facts: ReportFacts): Report {
  return new ReportContent(facts).report();
}
