// Proves what is on a mounted card, by reading it where the system cannot answer from its memory. In this order, the first
// that can be done: the card itself, where this user may open it, once it is unmounted; its files past the system's
// memory, once it was unmounted and mounted again, so that the folders are read anew as well; its files once it was taken
// out and put back. Where none can be done the answer is `cached`, and that is never ready. Cleans last, then lets go.

import { type CheckedCard, checkCard, inOrder } from '../../card/check/check-card.ts';
import { checkMounted } from '../../card/check/check-mounted.ts';
import { finding } from '../../card/check/finding-codes.ts';
import type { ChosenDrive } from '../../card/drives/drive-guard.ts';
import { examineCard } from '../../card/look/examine-card.ts';
import type { ReadProgress } from '../../card/look/read-file.ts';
import { digestMounted } from '../../card/mounted/digest-mounted-file.ts';
import { lookAtMounted, type MountedCard } from '../../card/mounted/mounted-card.ts';
import type { CardRule, Release } from '../../manifest/schema.ts';
import type { Cards, Proof } from '../../ports/blocks.ts';
import type { Drive, DrivePart } from '../../ports/drives.ts';
import type { MountedVolume, Volumes } from '../../ports/volumes.ts';
import { Failure } from '../../words/failure.ts';
import type { Finding } from '../../words/finding.ts';
import type { PrepareOutcome } from '../prepare-card.ts';
import { type WaitPorts, waitForCard } from './wait-for-card.ts';
import { cleanLitter } from './write-mounted.ts';

export interface ProvePorts extends WaitPorts {
  readonly volumes: Volumes;
  readonly cards: Cards;
}

export interface ProveJob {
  readonly path: string;
  readonly chosen: ChosenDrive;
  readonly drive: Drive;
  readonly part: DrivePart;
  readonly mountPoint: string;
  /** This user may open the card itself. */
  readonly byDevice: boolean;
  /** Somebody is there to take the card out and put it back. */
  readonly mayAsk: boolean;
  readonly release: Release;
  readonly rule: CardRule;
  readonly known: readonly Release[];
  /** Of what was written; undefined: nothing was. */
  readonly writtenSha256: string | undefined;
  readonly onRead?: ReadProgress | undefined;
  /** Failure exit 5 where this is not the card any more. */
  readonly requireSameDrive: () => Promise<void>;
}

export type Proved = Pick<PrepareOutcome, 'verdict' | 'readBack' | 'findings' | 'sizeBytes' | 'volumeId'> & {
  readonly mayPull: boolean;
};

interface Seen {
  readonly checked: CheckedCard;
  readonly card: MountedCard;
}

class MountedProof {
  readonly #ports: ProvePorts;
  readonly #job: ProveJob;

  constructor(ports: ProvePorts, job: ProveJob) {
    this.#ports = ports;
    this.#job = job;
  }

  #answer(checked: CheckedCard, method: Proof, mayPull: boolean, more: readonly Finding[] = []): Proved {
    const { writtenSha256, drive, part } = this.#job;
    const { imageSha256, imageAgrees } = checked;
    const isOther = imageAgrees && writtenSha256 !== undefined && imageSha256 !== writtenSha256;
    const findings = inOrder([...checked.findings, ...more, ...(isOther ? [otherBytes()] : [])]);
    const isReady =
      checked.verdict === 'ready' &&
      method !== 'cached' &&
      !findings.some(({ severity }) => severity === 'stop');
    return {
      verdict: isReady ? 'ready' : 'not-ready',
      readBack: imageSha256 === null ? null : { method, sha256: imageSha256 },
      findings,
      sizeBytes: drive.sizeBytes ?? 0,
      volumeId: part.volumeId,
      mayPull,
    };
  }

  async look(
    volume: MountedVolume,
    place: Pick<ProveJob, 'drive' | 'part'>,
    readFromCard: boolean,
  ): Promise<Seen> {
    const { release, rule, known, onRead, byDevice } = this.#job;
    const card = lookAtMounted(volume, place.drive, place.part);
    const checked = await checkMounted(card, {
      wanted: { release, rule },
      known,
      readFromCard,
      digest: digestMounted(volume, onRead),
      examined: byDevice,
    });
    return { card, checked };
  }

  /** Whether it is done: a person is told what to do where it is not. */
  async #try(act: () => Promise<void>): Promise<boolean> {
    try {
      await act();
      return true;
    } catch (error) {
      if (error instanceof Failure) return false;
      throw error;
    }
  }

  async #driveNow(): Promise<Drive | undefined> {
    const { device } = this.#job.drive;
    return (await this.#ports.drives.list()).drives.find((one) => one.device === device);
  }

  /** Unmounts whatever is mounted of it by now, as a desktop may have done by itself. */
  async #letGo(how: 'unmount' | 'eject', drive?: Drive): Promise<boolean> {
    const now = drive ?? (await this.#driveNow());
    if (now === undefined) return how === 'eject';
    return await this.#try(() => this.#ports.drives[how](now));
  }

  async byDevice(): Promise<Proved> {
    const { cards, drives } = this.#ports;
    const { release, rule, known, onRead, drive, requireSameDrive } = this.#job;
    const now = await this.#driveNow();
    if (now !== undefined) await drives.unmount(now);
    await requireSameDrive();
    const reader = cards.openToRead(drive.device);
    let checked: CheckedCard;
    try {
      const wanted = { release, rule };
      const card = examineCard(reader);
      checked = await checkCard(card, reader, { wanted, known, writeProtected: false, progress: onRead });
    } finally {
      reader.close();
    }
    return this.#answer(checked, reader.proof ?? 'cached', await this.#letGo('unmount'));
  }

  /** A look at the card where it is mounted now, cleaned if it has to be, and let go. */
  async #lastLook(
    volume: MountedVolume,
    place: Pick<ProveJob, 'drive' | 'part'>,
    method: 'direct' | 'reinserted',
  ): Promise<Proved> {
    let seen: Seen;
    let cleaned: readonly string[] = [];
    try {
      seen = await this.look(volume, place, true);
      const stops = seen.checked.findings.filter(({ severity }) => severity === 'stop');
      if (stops.length > 0 && stops.every(({ code }) => code === 'litter') && !seen.card.readOnly) {
        cleaned = cleanLitter(volume);
        seen = await this.look(volume, place, true);
      }
    } finally {
      volume.close();
    }
    const mayPull = await this.#letGo('eject', place.drive);
    const more = [
      ...(cleaned.length === 0 ? [] : [cleanedLast(cleaned)]),
      // A locked card was never marked as in use.
      ...(mayPull || seen.card.readOnly ? [] : [stillMounted()]),
    ];
    return this.#answer(seen.checked, method, mayPull, more);
  }

  /** undefined where it cannot be mounted again, or was not read anew. */
  async byRemount(readBefore: number): Promise<Proved | undefined> {
    const { drives, volumes } = this.#ports;
    const { part, mountPoint, requireSameDrive } = this.#job;
    if (!(await this.#try(() => drives.mount(part, mountPoint)))) return undefined;
    await requireSameDrive();
    const drive = await this.#driveNow();
    const again = drive?.parts.find((one) => one.device === part.device);
    const at = again?.mountPoints[0];
    if (drive === undefined || again === undefined || at === undefined) return undefined;
    const volume = volumes.open(at);
    const { traffic, readsPastMemory } = volume.facts();
    if (!readsPastMemory || traffic === null || traffic.readBytes <= readBefore) {
      volume.close();
      return undefined;
    }
    return await this.#lastLook(volume, { drive, part: again }, 'direct');
  }

  async byReinsertion(isLetGo: boolean): Promise<Proved | undefined> {
    const { say, volumes } = this.#ports;
    const { chosen, path, drive } = this.#job;
    const lock = 'If it has a lock on its edge, slide that on.';
    say(
      isLetGo
        ? `Take the card out now. ${lock} Then put it back in.`
        : `Eject the card in the file manager and take it out. ${lock} Then put it back in.`,
    );
    const back = await waitForCard(this.#ports, { ...chosen, drive }, path);
    const part = back?.parts.find((one) => one.mountPoints.length > 0);
    const at = part?.mountPoints[0];
    if (back === undefined || part === undefined || at === undefined) return undefined;
    say('It is back. Reading it.');
    return await this.#lastLook(volumes.open(at), { drive: back, part }, 'reinserted');
  }

  /** `volume` is closed. */
  async run(volume: MountedVolume): Promise<Proved> {
    const { byDevice, mayAsk, drive, part } = this.#job;
    let first: Seen;
    let readBefore: number;
    try {
      first = await this.look(volume, { drive, part }, true);
      readBefore = volume.facts().traffic?.readBytes ?? Number.POSITIVE_INFINITY;
    } finally {
      volume.close();
    }
    // It stays mounted, so that the same command can be run again.
    if (first.checked.verdict !== 'ready') return this.#answer(first.checked, 'cached', false);
    if (byDevice) return await this.byDevice();
    const { readsPastMemory } = first.card.facts;
    let isLetGo = await this.#letGo(readsPastMemory ? 'unmount' : 'eject');
    if (isLetGo && readsPastMemory) {
      const proved = await this.byRemount(readBefore);
      if (proved !== undefined) return proved;
      isLetGo = await this.#letGo('eject');
    }
    if (mayAsk) {
      const proved = await this.byReinsertion(isLetGo);
      if (proved !== undefined) return proved;
    }
    return this.#answer(first.checked, 'cached', isLetGo, [notProven(mayAsk)]);
  }
}

function otherBytes(): Finding {
  return finding('image-digest-mismatch', {
    summary: 'The card gives other bytes back than were written to it.',
    next: 'Take another card; this one cannot be trusted.',
  });
}

function notProven(asked: boolean): Finding {
  return finding('not-read-from-card', {
    summary: asked
      ? 'The card was not taken out and put back in time, so what was read may be what the computer remembers.'
      : 'What was read may be what the computer remembers of the card: for a proof somebody must take it out and put it back.',
    next: 'Take it out and put it back in, then run the same command again at a terminal without --no-input; or with administrator rights (sudo).',
  });
}

function cleanedLast(paths: readonly string[]): Finding {
  return finding('cleaned-last', {
    summary: 'The system had left files of its own again; they were removed last, after the card was read.',
    seen: paths.slice(0, 4).join(', '),
    next: 'Nothing, if the card goes to the unit from here. A card with a lock on its edge is better: slide it on when you are asked to.',
  });
}

function stillMounted(): Finding {
  return finding('volume-dirty', {
    summary:
      'The card is still mounted and marked as in use: something uses it, or this user may not unmount it.',
    next: 'Close whatever shows its files, and run the same command again.',
  });
}

/** Closes the volume. What the card says when it fails is a Failure with exit 6; another card is one with exit 5. */
export async function proveMounted(ports: ProvePorts, job: ProveJob, volume: MountedVolume): Promise<Proved> {
  return await new MountedProof(ports, job).run(volume);
}
