// What stands in a report on one unit, section by section, as a maker wants it for a claim: what the unit is, what was done
// and seen with what, who says so and when, how everything was left, and the entries behind it. It draws no conclusions
// beyond the record's own, and says what a chain of hashes can show and what it cannot.

import { releaseKey } from '../manifest/catalogue.ts';
import type { Entry } from '../ports/record-store.ts';
import { correctionOf, correctionsIn } from '../record/as-corrected.ts';
import { type EntryKind, type KnownEntry, knownEntry, type Photo } from '../record/entry.ts';
import { entryText } from '../record/entry-text.ts';
import { formatMark } from '../record/mark-text.ts';
import { formatBytes } from '../words/size.ts';
import { cardProof } from './card-proof.ts';
import {
  fieldsOf,
  paragraphOf,
  type Report,
  type ReportBlock,
  type ReportSection,
  tableOf,
} from './report.ts';
import type { ReportFacts } from './report-facts.ts';
import { people, photoBlocks, time } from './report-words.ts';
import { versionColumns, versionRows } from './version-rows.ts';

type Of<K extends EntryKind> = Extract<KnownEntry, { kind: K }>;

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

/** As long as any text on record; nothing is cut. */
const longest = 8000;

const registerKinds: ReadonlySet<string> = new Set<EntryKind>([
  'unit-added',
  'unit-changed',
  'unit-moved',
  'unit-retired',
  'exemption-begun',
  'exemption-ended',
]);

class ReportContent {
  readonly #facts: ReportFacts;
  readonly #known: readonly KnownEntry[];
  readonly #written: ReadonlyMap<string, Entry>;
  readonly #corrections: ReturnType<typeof correctionsIn>;

  constructor(facts: ReportFacts) {
    this.#facts = facts;
    this.#known = facts.entries.map(knownEntry).filter((one) => one !== undefined);
    this.#written = new Map([...facts.entries, ...facts.cardEntries].map((entry) => [entry.id, entry]));
    this.#corrections = correctionsIn([...facts.entries, ...facts.cardEntries]);
  }

  #all<K extends EntryKind>(kind: K): Of<K>[] {
    return this.#known.filter((one): one is Of<K> => one.kind === kind);
  }

  report(): Report {
    const { unit, made } = this.#facts;
    const sections = [
      this.#unitSection(),
      this.#versionSection(),
      this.#registerSection(),
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
          ['In service', unit.retired ? 'no: retired' : null],
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
    const rows = versionRows(this.#facts.entries, this.#corrections);
    return { title: 'Versions', blocks: rows.length === 0 ? [] : [tableOf(versionColumns, rows)] };
  }

  /** Where it stood, what changed, and whether it is still in service: nothing of the register is told elsewhere. */
  #registerSection(): ReportSection {
    const rows = this.#facts.entries
      .filter(({ kind }) => registerKinds.has(kind))
      .map((entry) => {
        const correction = correctionOf(entry, this.#corrections);
        return [
          time(entry.claimedAt),
          entryText(entry, longest),
          people(entry),
          entry.id,
          correction === undefined ? '' : `see correction ${correction.id}`,
        ];
      });
    const columns = ['When', 'What', 'By', 'Entry', 'Remark'];
    return { title: 'In the register', blocks: rows.length === 0 ? [] : [tableOf(columns, rows)] };
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
        ...(card === undefined
          ? []
          : cardProof({ card, usedMs: entry.claimedMs }, this.#facts.cardEntries, this.#corrections)),
      ],
    };
  }

  #lights(pattern: string): string {
    const means = this.#facts.product?.patterns.find(({ id }) => id === pattern)?.means;
    return means === undefined ? pattern : `${pattern}: ${means}`;
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
                  this.#stepText(step, today === visit.body.procedure ? visit.body.release : undefined),
                  positionsText(step.body.positions),
                  step.id,
                ]),
              ),
            ]),
      ],
    };
  }

  /** `walked`: the release, where today's manifest still has the very procedure that was walked and can say more. */
  #stepText(step: Of<'step-done'>, walked: string | undefined): string {
    const { positions: _, pattern, facts, ...body } = step.body;
    const said = entryText(
      { ...step, body: { ...body, positions: {}, facts: this.#named(step, walked) } } as unknown as Entry,
      longest,
    );
    return [
      said,
      ...(pattern === undefined ? [] : [`lights ${this.#lights(pattern)}`]),
      ...(walked !== undefined && this.#meterProven(step.body)
        ? ['the meter shown good before and after']
        : []),
    ].join(', ');
  }

  /** Settings are kept in the order of the release's list, without their names. */
  #named({ body }: Of<'step-done'>, walked: string | undefined): Of<'step-done'>['body']['facts'] {
    const { values, ...facts } = body.facts;
    const names = this.#facts.releases.find((release) => releaseKey(release) === walked)?.resets;
    if (body.step !== 'settings' || !Array.isArray(values) || values.length !== names?.length)
      return body.facts;
    return { ...facts, ...Object.fromEntries(names.map((name, at) => [name, values[at]])) };
  }

  /** Such a step is never over without it, see measure-progress.ts. */
  #meterProven({ step, facts }: Of<'step-done'>['body']): boolean {
    const found = this.#facts.product?.procedure.find(({ id }) => id === step);
    return found?.kind === 'measure' && found.measure.proveMeter && facts.readings !== undefined;
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
      blocks: this.#allCorrections().flatMap((one) => {
        const { corrects, why, body, kind } = one.body;
        const says =
          body === undefined
            ? 'it does not count'
            : entryText(
                { ...one, kind, kindVersion: one.body.bodyVersion ?? 1, body } as unknown as Entry,
                longest,
              );
        const written = this.#written.get(corrects.id);
        return [
          fieldsOf(
            ['Entry', corrects.id],
            ['Said', written === undefined ? null : entryText(written, longest)],
            ['Is to say', says],
            ['Because', why],
            ['For', time(one.claimedAt)],
            ['Corrected', `${time(one.writtenAt)} by ${people(one)}, entry ${one.id}`],
          ),
          ...photoBlocks(body?.photos as readonly Photo[] | undefined),
        ];
      }),
    };
  }

  /** Of the unit's entries, and of those of its cards. */
  #allCorrections(): Of<'correction'>[] {
    return [...this.#written.values()]
      .map(knownEntry)
      .filter((one): one is Of<'correction'> => one?.kind === 'correction');
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

export function reportContent(facts: ReportFacts): Report {
  return new ReportContent(facts).report();
}
