// Carries a plan out on one card: keep, write in stages, flush, read back through the card's own folder, check
// again, and only then `ready`. Whether it may be done at all was decided and confirmed before; here the card is
// made sure of once more right before the first write. Every failure says how the card stands.

import { type DigestKind, type Digests, expectDigests } from '../bytes/digests.ts';
import { type CheckedCard, checkCard } from '../card/check/check-card.ts';
import { finding } from '../card/check/finding-codes.ts';
import { examineCard } from '../card/look/examine-card.ts';
import type { CardVolume, FileNode } from '../card/look/examined-card.ts';
import { imagePath } from '../card/look/image-place.ts';
import { fileChunks, type ReadProgress } from '../card/look/read-file.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { CardRule, Release } from '../manifest/schema.ts';
import type { Archives } from '../ports/archives.ts';
import type { Blocks, CardIdentity, Cards, Proof } from '../ports/blocks.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { type ImageSource, openImageSource } from './image-source.ts';
import { type KeepPorts, type KeptFiles, keepFiles, withKept } from './keep-files.ts';
import type { CardPlan } from './preparation-plan.ts';
import { cardChanged, requireSameCard } from './same-card.ts';
import { type ImageBytes, writeStage } from './write-stages.ts';

export interface PreparePorts extends KeepPorts {
  readonly cards: Cards;
  archives(): Promise<Archives>;
  /** Asked between steps, where it is safe to stop. */
  readonly stop: { readonly aborted: boolean };
}

/** The card that was looked at and confirmed; for a card image file that does not exist yet, its size. */
export type PreparedCard =
  | {
      readonly kind: 'there';
      readonly identity: CardIdentity;
      /** The digest of the look that the plan was made from. */
      readonly seen: string;
      readonly volume: CardVolume | null;
    }
  | { readonly kind: 'new'; readonly sizeBytes: number };

export interface PrepareJob {
  /** As the person gave it. */
  readonly path: string;
  /** The last part of the path, for the folder of kept files. */
  readonly name: string;
  readonly card: PreparedCard;
  readonly plan: CardPlan;
  readonly release: Release;
  readonly rule: CardRule;
  readonly known: readonly Release[];
  /** `card`: the copy that is kept of the card's own image. undefined: no image is written. */
  readonly source: ImageSource | 'card' | undefined;
  readonly onRead?: ReadProgress;
  /** Looks at the drives anew, right before the first write; a Failure (exit 5) where this is not the card any more. */
  readonly requireSameDrive?: (() => Promise<void>) | undefined;
}

export interface PrepareEvent {
  readonly phase: 'keeping' | 'writing' | 'settling' | 'reading back';
  readonly doneBytes: number;
  readonly totalBytes: number;
}

export interface PrepareOutcome {
  readonly verdict: 'ready' | 'not-ready';
  readonly kept: Readonly<KeptFiles>;
  readonly removed: readonly string[];
  readonly written: { readonly path: string; readonly bytes: number; readonly sha256: string } | null;
  readonly readBack: { readonly method: Proof; readonly sha256: string } | null;
  readonly findings: readonly Finding[];
  readonly sizeBytes: number;
  readonly volumeId: string | null;
}

/** How the card stands, for the one sentence that every failure ends with. */
type CardState = 'unchanged' | 'as-before' | 'half-done';

const stateSentences: Readonly<Record<CardState, string>> = {
  unchanged: 'The card was not changed.',
  'as-before': 'The files on the card are as they were.',
  'half-done': 'The card is not ready.',
};

/** As long as no other stage was begun, nothing that a folder or the FAT leads to was touched. */
const harmless = ['guard', 'image', 'folders'];

class Preparation {
  readonly #ports: PreparePorts;
  readonly #job: PrepareJob;
  readonly #blocks: Blocks;
  #state: CardState = 'unchanged';
  #open = true;
  readonly kept: KeptFiles = { folder: null, files: [] };

  constructor(ports: PreparePorts, job: PrepareJob, blocks: Blocks) {
    this.#ports = ports;
    this.#job = job;
    this.#blocks = blocks;
  }

  #requireGoOn(): void {
    if (!this.#ports.stop.aborted) return;
    throw new Failure({
      code: 'stopped',
      exit: 130,
      summary: 'Stopped.',
      where: this.#job.path,
      next: 'Run the same command again when you are ready.',
    });
  }

  async *keep(): AsyncGenerator<PrepareEvent> {
    const { card, plan, name, path, release } = this.#job;
    if (card.kind === 'new' || card.volume === null) return;
    const reason = { card: this.#ports.files.absolute(path), release: releaseKey(release) };
    const { volume } = card;
    const chunksOf = (file: FileNode) => fileChunks(this.#blocks, volume, file);
    const copies = keepFiles(this.#ports, chunksOf, plan.keep, name, reason, this.kept);
    for await (const step of copies) {
      yield { phase: 'keeping', ...step };
      this.#requireGoOn();
    }
  }

  async requireSameCard(): Promise<void> {
    const { card, path, requireSameDrive } = this.#job;
    if (card.kind === 'there')
      await requireSameCard(this.#ports.cards, this.#blocks, { ...card, path }, requireSameDrive);
  }

  /** Another card may lie there by now. */
  #isStillThere(): boolean {
    const { cards } = this.#ports;
    const { path } = this.#job;
    return cards.exists(path) && cards.identify(path).device === this.#blocks.device;
  }

  /** What was written and read back is what the path leads to. */
  requireStillThere(): void {
    if (!this.#isStillThere()) throw cardChanged(this.#job.path, 'the file or device behind it');
  }

  async #source(): Promise<ImageSource | undefined> {
    const { source, release, plan } = this.#job;
    if (source !== 'card') return source;
    const copy = plan.ownImage === undefined ? undefined : this.kept.files[plan.ownImage];
    if (copy === undefined) throw new Error('no copy of the card’s own image was kept');
    return await openImageSource(this.#ports, copy.keptAt, release);
  }

  /** All stages but the last. Returns what was written of the image. */
  async *write(): AsyncGenerator<PrepareEvent, PrepareOutcome['written']> {
    const { plan, release } = this.#job;
    const source = plan.writesImage ? await this.#source() : undefined;
    const image: ImageBytes = () => {
      if (source === undefined) throw new Error('a plan that writes the image came without one');
      // Digested when it is read back: a third digest of the same bytes would prove nothing more.
      return source.uncheckedChunks();
    };
    await this.requireSameCard();
    this.#requireGoOn();
    // What reads it back comes up while it is written.
    const kinds = Object.keys(release.image.digests) as DigestKind[];
    if (source !== undefined) await expectDigests(['sha256', ...kinds], source.bytes);
    for (const stage of plan.stages) {
      // Once folders and FAT are being changed, the few writes that belong together are not left in the middle.
      if (plan.fresh || this.#state !== 'half-done') this.#requireGoOn();
      const touches = plan.fresh || !harmless.includes(stage.name);
      if (this.#state !== 'half-done') this.#state = touches ? 'half-done' : 'as-before';
      for await (const { doneBytes, totalBytes } of writeStage(this.#blocks, stage, image)) {
        yield { phase: 'writing', doneBytes, totalBytes };
        this.#requireGoOn();
      }
      // As a rule this is the last moment at which the files on the card are still as they were.
      if (stage.kind === 'image') source?.requireUnchanged();
    }
    if (plan.stages.length > 0) this.#state = 'half-done';
    if (source === undefined) return null;
    return { path: imagePath(release.image), bytes: source.bytes, sha256: source.sha256 };
  }

  /** Takes the mark away that the card is being written to, where nothing else was changed yet. */
  #undoGuard(): void {
    const { card } = this.#job;
    if (this.#state !== 'as-before' || card.kind === 'new' || card.volume?.kind !== 'fat') return;
    try {
      this.#blocks.write(card.volume.startBytes, card.volume.bootBytes);
      this.#blocks.flush();
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      this.#state = 'half-done';
    }
  }

  async #check(readBefore?: (file: FileNode) => Digests | undefined): Promise<{
    checked: CheckedCard;
    volumeId: string | null;
  }> {
    const { release, rule, known, onRead } = this.#job;
    const card = examineCard(this.#blocks);
    const checked = await checkCard(card, this.#blocks, {
      wanted: { release, rule },
      known,
      writeProtected: false,
      progress: onRead,
      readBefore,
    });
    return { checked, volumeId: card.volume?.volumeId ?? null };
  }

  /** Reads the image back, takes the mark away only if nothing else stands against the card, and looks again. */
  async *prove(written: PrepareOutcome['written']): AsyncGenerator<PrepareEvent, PrepareOutcome> {
    const { plan, release } = this.#job;
    const bytes = release.image.bytes;
    yield { phase: 'reading back', doneBytes: 0, totalBytes: bytes };
    this.#requireGoOn();
    const first = await this.#check();
    const { imageSha256, imageAgrees, image } = first.checked;
    const method = this.#blocks.proof ?? 'image';
    const outcome = (verdict: 'ready' | 'not-ready', last: typeof first): PrepareOutcome => ({
      // What the computer remembers of a card is no proof, whatever it says.
      verdict: method === 'cached' ? 'not-ready' : verdict,
      kept: this.kept,
      removed: plan.removed,
      written,
      readBack: imageSha256 === null ? null : { method, sha256: imageSha256 },
      findings: last.checked.findings,
      sizeBytes: this.#blocks.sizeBytes,
      volumeId: last.volumeId,
    });
    // The manifest may state no more than a check sum; what was written is known to the byte.
    if (written !== null && imageAgrees && imageSha256 !== written.sha256) {
      const last = {
        ...first,
        checked: { ...first.checked, findings: [...first.checked.findings, changed()] },
      };
      return outcome('not-ready', last);
    }
    if (plan.unguard === undefined || first.checked.verdict === 'ready') {
      return outcome(first.checked.verdict === 'ready' ? 'ready' : 'not-ready', first);
    }
    const stops = first.checked.findings.filter((one) => one.severity === 'stop');
    if (!imageAgrees || stops.some((one) => one.code !== 'volume-dirty')) return outcome('not-ready', first);
    yield { phase: 'reading back', doneBytes: bytes, totalBytes: bytes };
    this.#requireGoOn();
    for await (const _ of writeStage(this.#blocks, plan.unguard, noImage));
    // The image was read since its last write, along the same clusters: one sector of the volume was written since.
    const digests: Digests = { ...release.image.digests, ...(imageSha256 && { sha256: imageSha256 }) };
    const last = await this.#check((file) =>
      image !== null && isSamePlace(file, image) ? digests : undefined,
    );
    return outcome(last.checked.verdict === 'ready' ? 'ready' : 'not-ready', last);
  }

  /** Once: a handle that failed to close is closed. */
  close(): void {
    if (!this.#open) return;
    this.#open = false;
    this.#blocks.close();
  }

  /** Leaves the card in as good a state as can be, and says so in the failure. Closes the card. */
  end(error: unknown): unknown {
    const { card, path } = this.#job;
    this.#undoGuard();
    try {
      this.close();
    } catch (failure) {
      // The first failure is the one to tell; what it says of the card no longer holds.
      if (!(failure instanceof Failure)) throw failure;
      if (this.#state !== 'unchanged') this.#state = 'half-done';
    }
    let sentence = stateSentences[this.#state];
    if (card.kind === 'new') sentence = this.#removeUnfinished(path);
    if (!(error instanceof Failure)) return error;
    const { facts } = error;
    const goesOn = this.#state === 'half-done' && card.kind === 'there' && facts.exit !== 5;
    const next = goesOn
      ? 'Run the same command again; if it refuses, add --fresh, or take another card.'
      : facts.next;
    const told = { ...facts, summary: `${facts.summary} ${sentence}`, next };
    return new Failure(withKept(told, this.kept), error);
  }

  #removeUnfinished(path: string): string {
    try {
      if (!this.#isStillThere()) return 'What lies there now is another file, and was left alone.';
      this.#ports.files.remove(path);
      return 'The unfinished card image file was removed.';
    } catch (error) {
      if (!(error instanceof Failure)) throw error;
      return 'The card image file is not finished; remove it.';
    }
  }
}

function changed(): Finding {
  return finding('image-digest-mismatch', {
    summary: 'The card gives other bytes back than were written to it.',
    next: 'Take another card; this one cannot be trusted.',
  });
}

async function* noImage(): AsyncGenerator<Uint8Array> {}

function isSamePlace(a: FileNode, b: FileNode): boolean {
  return (
    a.path === b.path &&
    a.sizeBytes === b.sizeBytes &&
    a.runs.length === b.runs.length &&
    a.runs.every((run, index) => {
      const other = b.runs[index];
      return run.firstCluster === other?.firstCluster && run.clusterCount === other.clusterCount;
    })
  );
}

/** Yields between steps, where a person may stop it; the outcome is what was read back, not what was hoped for. */
export async function* prepareCard(
  ports: PreparePorts,
  job: PrepareJob,
): AsyncGenerator<PrepareEvent, PrepareOutcome> {
  const { cards } = ports;
  const blocks =
    job.card.kind === 'new' ? cards.create(job.path, job.card.sizeBytes) : cards.openToWrite(job.path);
  const preparation = new Preparation(ports, job, blocks);
  try {
    yield* preparation.keep();
    const written = yield* preparation.write();
    const outcome = yield* preparation.prove(written);
    if (outcome.verdict === 'ready') preparation.requireStillThere();
    preparation.close();
    return outcome;
  } catch (error) {
    throw preparation.end(error);
  }
}
