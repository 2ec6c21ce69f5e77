// Carries a plan out on a mounted card: keep, write the image under a name of its own, flush, remove, give it its name,
// flush, clean what the system left meanwhile. Says nothing of what came of it: that is read back by `prove-mounted.ts`.
// Every failure says how the card stands.

import type { CardNode } from '../../card/look/examined-card.ts';
import { imagePath } from '../../card/look/image-place.ts';
import type { MountedPlan } from '../../card/mounted/plan-mounted.ts';
import { type MountedTree, pathOf, readMountedTree } from '../../card/mounted/read-mounted-tree.ts';
import { filesToKeep, subtree } from '../../card/tidy/tidy-choice.ts';
import { releaseKey } from '../../manifest/catalogue.ts';
import type { Release } from '../../manifest/schema.ts';
import type { MountedVolume, NewVolumeFile } from '../../ports/volumes.ts';
import { Failure } from '../../words/failure.ts';
import { formatBytes } from '../../words/size.ts';
import { type ImageSource, openImageSource } from '../image-source.ts';
import { type KeptFiles, keepFiles, withKept } from '../keep-files.ts';
import type { PrepareEvent, PrepareOutcome, PreparePorts } from '../prepare-card.ts';
import { cardChanged } from '../same-card.ts';

export interface MountedJob {
  /** As the person gave it, and its last part. */
  readonly path: string;
  readonly name: string;
  readonly plan: MountedPlan;
  readonly release: Release;
  /** Other files may stay on the card. */
  readonly onlyFile: boolean;
  /** Of the tree that the plan was made from, and of the mount that it was read through. */
  readonly seen: string;
  readonly mount: string;
  readonly source: ImageSource | 'card' | undefined;
  /** Looks at the drives anew, right before the first write; a Failure (exit 5) where this is not the card any more. */
  readonly requireSameDrive: () => Promise<void>;
}

export type MountedPorts = Omit<PreparePorts, 'cards'>;

type CardState = 'unchanged' | 'as-before' | 'half-done';

const stateSentences: Readonly<Record<CardState, string>> = {
  unchanged: 'The card was not changed.',
  'as-before': 'The files on the card are as they were.',
  'half-done': 'The card is not ready.',
};

export function stopped(path: string): Failure {
  return new Failure({
    code: 'stopped',
    exit: 130,
    summary: 'Stopped.',
    where: path,
    next: 'Run the same command again when you are ready.',
  });
}

/** What the system has left by itself, and nobody's files within: it may go without a copy. */
function ownLitter(tree: MountedTree): CardNode[] {
  const tops = tree.nodes.filter((node) => node.litter !== 'no' && node.parent?.litter === 'no');
  return tops.filter((top) => filesToKeep([top], undefined).length === 0);
}

/** Removes litter; returns the paths of what went. */
export function cleanLitter(volume: MountedVolume): string[] {
  const gone: string[] = [];
  for (const top of ownLitter(readMountedTree(volume))) {
    for (const node of [...subtree(top)].reverse()) {
      if (node.isFolder) volume.removeFolder(pathOf(node));
      else volume.removeFile(pathOf(node));
    }
    gone.push(top.path);
  }
  if (gone.length > 0) volume.flush([]);
  return gone;
}

class MountedRun {
  readonly #ports: MountedPorts;
  readonly #job: MountedJob;
  readonly #volume: MountedVolume;
  #state: CardState = 'unchanged';
  #temporary: NewVolumeFile | undefined;
  #temporaryStands = false;

  constructor(ports: MountedPorts, job: MountedJob, volume: MountedVolume) {
    this.#ports = ports;
    this.#job = job;
    this.#volume = volume;
  }

  #requireGoOn(): void {
    if (this.#ports.stop.aborted) throw stopped(this.#job.path);
  }

  async *keep(kept: KeptFiles): AsyncGenerator<PrepareEvent> {
    const { name, path, plan, release } = this.#job;
    const reason = { card: this.#ports.files.absolute(path), release: releaseKey(release) };
    const copies = keepFiles(
      this.#ports,
      (file) => this.#volume.chunks(pathOf(file)),
      plan.keep,
      name,
      reason,
      kept,
    );
    for await (const step of copies) {
      yield { phase: 'keeping', ...step };
      this.#requireGoOn();
    }
  }

  async #requireSame(): Promise<void> {
    const { path, seen, mount, requireSameDrive } = this.#job;
    await requireSameDrive();
    if (this.#volume.facts().mount !== mount) throw cardChanged(path, 'what is mounted there');
    if (readMountedTree(this.#volume).seen !== seen) throw cardChanged(path, 'what is on it');
  }

  async *#writeImage(source: ImageSource): AsyncGenerator<PrepareEvent> {
    const { plan, release } = this.#job;
    const totalBytes = release.image.bytes;
    let doneBytes = 0;
    this.#temporary = this.#volume.startNew(plan.temporary);
    for await (const chunk of source.uncheckedChunks()) {
      doneBytes += chunk.length;
      if (doneBytes > totalBytes) break;
      this.#temporary.write(chunk);
      yield { phase: 'writing', doneBytes, totalBytes };
      this.#requireGoOn();
    }
    if (doneBytes !== totalBytes) {
      throw new Failure({
        code: 'digest-mismatch',
        exit: 3,
        summary: 'The firmware file changed its length while it was being used.',
        seen: `${formatBytes(doneBytes)} bytes or more`,
        expected: `${formatBytes(totalBytes)} bytes`,
        next: 'Verify it again: slotproof verify FILE',
      });
    }
    this.#temporary.keep();
    this.#temporary = undefined;
    this.#temporaryStands = true;
    this.#volume.flush(plan.temporary.slice(0, -1));
    source.requireUnchanged();
  }

  #remove(): void {
    const { plan } = this.#job;
    if (plan.remove.length === 0) return;
    this.#state = 'half-done';
    for (const node of plan.remove) {
      // It holds the image, which is on its way elsewhere: the folder goes last.
      if (node.isFolder && plan.rename !== undefined && isWithin(plan.rename, node)) continue;
      if (node.isFolder) this.#volume.removeFolder(pathOf(node));
      else this.#volume.removeFile(pathOf(node));
    }
    this.#volume.flush([]);
  }

  /** The image gets its name, by way of one that nothing has: systems keep the old spelling of a name that is taken. */
  #giveName(): void {
    const { plan } = this.#job;
    for (const folder of plan.makeFolders) {
      this.#state = 'half-done';
      this.#volume.makeFolder(folder);
    }
    if (plan.rename !== undefined) {
      this.#state = 'half-done';
      this.#volume.rename(pathOf(plan.rename), plan.temporary);
      for (const node of plan.remove) {
        if (node.isFolder && isWithin(plan.rename, node)) this.#volume.removeFolder(pathOf(node));
      }
    }
    if (plan.rename === undefined && !plan.writesImage) return;
    this.#state = 'half-done';
    this.#volume.rename(plan.temporary, plan.target);
    this.#temporaryStands = false;
    this.#volume.flush(plan.target.slice(0, -1));
    this.#volume.flush(plan.temporary.slice(0, -1));
    this.#volume.flush([]);
  }

  async *write(kept: Readonly<KeptFiles>): AsyncGenerator<PrepareEvent, PrepareOutcome['written']> {
    const { plan, release, onlyFile } = this.#job;
    const source = plan.writesImage ? await this.#source(kept) : undefined;
    await this.#requireSame();
    this.#requireGoOn();
    if (plan.removesFirst) this.#remove();
    if (source !== undefined) {
      if (this.#state === 'unchanged') this.#state = 'as-before';
      yield* this.#writeImage(source);
    }
    if (this.#state !== 'half-done') this.#requireGoOn();
    yield { phase: 'settling', doneBytes: 0, totalBytes: 1 };
    if (!plan.removesFirst) this.#remove();
    this.#giveName();
    if (onlyFile) cleanLitter(this.#volume);
    if (source === undefined) return null;
    return { path: imagePath(release.image), bytes: source.bytes, sha256: source.sha256 };
  }

  async #source(kept: Readonly<KeptFiles>): Promise<ImageSource | undefined> {
    const { source, plan, release } = this.#job;
    if (source !== 'card') return source;
    const copy = plan.ownImage === undefined ? undefined : kept.files[plan.ownImage];
    if (copy === undefined) throw new Error('no copy of the card’s own image was kept');
    return await openImageSource(this.#ports, copy.keptAt, release);
  }

  /** Takes away what is unfinished, and says in the failure how the card stands. */
  end(error: unknown, kept: Readonly<KeptFiles>): unknown {
    try {
      if (this.#temporary !== undefined) this.#temporary.discard();
      else if (this.#temporaryStands) this.#volume.removeFile(this.#job.plan.temporary);
    } catch (failure) {
      if (!(failure instanceof Failure)) throw failure;
      this.#state = 'half-done';
    }
    if (!(error instanceof Failure)) return error;
    const { facts } = error;
    const goesOn = this.#state === 'half-done' && facts.exit !== 5;
    const next = goesOn ? 'Run the same command again; if it refuses, take another card.' : facts.next;
    const told = { ...facts, summary: `${facts.summary} ${stateSentences[this.#state]}`, next };
    return new Failure(withKept(told, kept), error);
  }
}

function isWithin(node: CardNode, folder: CardNode): boolean {
  for (let at: CardNode | null = node.parent; at !== null; at = at.parent) if (at === folder) return true;
  return false;
}

/** Yields between steps, where a person may stop it. The volume stays open. */
export async function* writeMounted(
  ports: MountedPorts,
  job: MountedJob,
  volume: MountedVolume,
  kept: KeptFiles,
): AsyncGenerator<PrepareEvent, PrepareOutcome['written']> {
  const run = new MountedRun(ports, job, volume);
  try {
    yield* run.keep(kept);
    return yield* run.write(kept);
  } catch (error) {
    throw run.end(error, kept);
  }
}
