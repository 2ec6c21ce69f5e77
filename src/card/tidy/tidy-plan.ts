// How a card whose format is kept becomes ready: the steps as told to the person, and the sector writes in the
// order that keeps it from looking ready, or losing a file, whenever power dies. Planned against the card as it
// was examined; reads only what the look did not keep. Repairs no damage: a damaged card must not come here.
//
// Room for the image beside what is on the card, the usual case:
//   guard | image, folders | move | remove | tables | enter | release | tables | settle | … read back … | unguard
// Else what goes must go first:
//   guard | move | remove | free | image, folders | tables | enter | release | tables | settle | … | unguard

import type { CardRule } from '../../manifest/schema.ts';
import type { BlockReader } from '../../ports/blocks.ts';
import type { ByteRun, WriteStage } from '../card-write.ts';
import { extendedSignatures, stateDirty, stateOffset } from '../fat/boot-sector.ts';
import { planCardName } from '../fat/card-name.ts';
import { attribute, slotBytes } from '../fat/directory-entry.ts';
import { encodeDotSlots, encodeEntrySlots } from '../fat/folder-slots.ts';
import { encodeFsInfo, fsInfoSigned, fsInfoUnset } from '../fat/fs-info.ts';
import type { CardNode, ExaminedCard, FatVolume, FileNode, Run } from '../look/examined-card.ts';
import { imagePath } from '../look/image-place.ts';
import type { PlanStep } from '../plan-step.ts';
import {
  partitionEntryBytes,
  partitionEntryFields,
  partitionEntryOffset,
  statusActive,
} from '../table/mbr.ts';
import {
  chooseTidy,
  filesToKeep,
  leadsTo,
  subtree,
  type TidyChoice,
  type WantedImage,
} from './tidy-choice.ts';
import { type ClusterPlan, planClusters } from './tidy-clusters.ts';
import { TidyDraft } from './tidy-draft.ts';
import { inOneSector, type NewEntry, planNewEntry, type TidyRefusal } from './tidy-target.ts';

export interface TidyRequest {
  readonly card: ExaminedCard;
  readonly volume: FatVolume;
  readonly rule: CardRule;
  readonly image: WantedImage;
  /** The file on the card whose bytes agree with the image's digests, where there is one. */
  readonly holder: FileNode | undefined;
  /** Times of new entries: milliseconds UTC. */
  readonly atMs: number;
}

export interface TidyPlan {
  readonly kind: 'tidy';
  readonly steps: readonly PlanStep[];
  /** To be copied to the workspace before the first write. */
  readonly keep: readonly FileNode[];
  /** Paths of all that goes, folders before what is in them. */
  readonly removed: readonly string[];
  readonly stages: readonly WriteStage[];
  /** Absent where nothing is written, or the volume has no place for the mark. */
  readonly unguard: WriteStage | undefined;
  /** The image's bytes are written; else they are on the card already. */
  readonly writesImage: boolean;
}

const firstOf = (runs: readonly Run[]) => runs[0]?.firstCluster ?? 0;

function runsOf(nodes: readonly CardNode[], own: FileNode | undefined): Run[] {
  return nodes.flatMap((top) => [...subtree(top, own)].flatMap((node) => node.runs));
}

function stepsOf(
  request: TidyRequest,
  choice: TidyChoice,
  entry: NewEntry | undefined,
  keep: readonly FileNode[],
) {
  const steps: PlanStep[] = keep.map((file) => ({ do: 'keep', path: file.path, bytes: file.sizeBytes }));
  for (const top of choice.removed) {
    const files = [...subtree(top, choice.own)].filter((node) => !node.isFolder);
    const bytes = files.reduce((sum, file) => sum + file.sizeBytes, 0);
    steps.push({ do: 'remove', path: top.path, files: files.length, bytes });
  }
  for (const move of entry?.place.moves ?? []) {
    const node = entry?.folder.children.find((child) => child.slot === move.occupant.lastSlot);
    steps.push({ do: 'move-entry', path: node?.path ?? 'volume label' });
  }
  const wayPath = choice.way.at(-1)?.path ?? '';
  choice.missingFolders.forEach((_, depth) => {
    const parts = [wayPath, ...choice.missingFolders.slice(0, depth + 1)].filter(Boolean);
    steps.push({ do: 'make-folder', path: parts.join('/') });
  });
  const path = imagePath(request.image);
  if (choice.own === undefined) steps.push({ do: 'write', path, bytes: request.image.bytes });
  else if (!choice.ownEntryStays) steps.push({ do: 're-enter', path, from: choice.own.path });
  if (needsActive(request)) steps.push({ do: 'mark-active' });
  if (request.volume.dirty.boot || request.volume.dirty.fat) steps.push({ do: 'mark-clean' });
  return steps;
}

function needsActive({ card, volume, rule }: TidyRequest): boolean {
  return rule.activePartition && card.partitionTable === 'mbr' && volume.partition?.active === false;
}

/** New folders, the deepest with the image's entry in it: whole clusters that nothing leads to yet. */
function fillFolders(
  draft: TidyDraft,
  request: TidyRequest,
  choice: TidyChoice,
  plan: ClusterPlan,
  image: Uint8Array,
) {
  const { atMs, volume } = request;
  const { clusterBytes } = volume.geometry;
  const above = choice.way.at(-1);
  plan.folders.forEach((cluster, depth) => {
    const parent = depth > 0 ? plan.folders[depth - 1] : above?.parent === null ? 0 : above?.firstCluster;
    const inner = choice.missingFolders[depth + 1];
    const content = inner === undefined ? image : folderSlots(inner, plan.folders[depth + 1] ?? 0, atMs);
    const bytes = new Uint8Array(clusterBytes);
    bytes.set(encodeDotSlots(cluster, parent ?? 0, atMs));
    bytes.set(content, 2 * slotBytes);
    draft.change(draft.clusterBytes(cluster), bytes);
  });
  for (const run of plan.grown) {
    draft.change(draft.clusterBytes(run.firstCluster), new Uint8Array(run.clusterCount * clusterBytes));
  }
}

function folderSlots(name: string, firstCluster: number, atMs: number): Uint8Array {
  const given = planCardName(name, false, new Set());
  if (given === undefined) throw new RangeError('no alias for the only entry of a folder');
  return encodeEntrySlots(given, { attributes: attribute.folder, firstCluster, sizeBytes: 0, atMs });
}

function guardOffset({ volume }: TidyRequest): number | undefined {
  const known = extendedSignatures.includes(volume.boot.extendedSignature);
  return known ? volume.startBytes + stateOffset(volume.boot) : undefined;
}

/** FSInfo's hints and the active flag: what no file depends on. */
function settle(draft: TidyDraft, request: TidyRequest, plan: ClusterPlan): void {
  const { volume } = request;
  if (volume.fsInfo !== null && fsInfoSigned(volume.fsInfo)) {
    const at = volume.startBytes + volume.boot.fsInfoSector * volume.geometry.bytesPerSector;
    const sector = draft.read(at, 512);
    const nextFree = plan.fat.firstFree() ?? fsInfoUnset;
    encodeFsInfo({ ...volume.fsInfo, freeClusters: plan.fat.freeClusters, nextFree }, sector);
    draft.change(at, sector);
  }
  if (needsActive(request) && volume.partition !== null) {
    const entryBytes = partitionEntryOffset + (volume.partition.number - 1) * partitionEntryBytes;
    draft.change(entryBytes + partitionEntryFields.status.offset, Uint8Array.of(statusActive));
  }
  draft.end('settle');
}

export function planTidy(request: TidyRequest, reader: BlockReader): TidyPlan | TidyRefusal {
  const { volume, rule, image } = request;
  const choice = chooseTidy(volume, rule, image, request.holder);
  if (choice === undefined) return { kind: 'rule-impossible', why: 'its name is no plain 8.3 name' };
  const entry = planNewEntry(volume, rule, choice);
  if (entry !== undefined && 'kind' in entry) return entry;

  const { clusterBytes } = volume.geometry;
  const { own } = choice;
  const goesLate = choice.removed.filter((top) => leadsTo(top, own));
  const goesFirst = choice.removed.filter((top) => !leadsTo(top, own));
  const growSlots = entry === undefined ? 0 : entry.place.slotCount - entry.folder.slotCount;
  const plan = planClusters(
    volume,
    {
      image: own === undefined ? Math.ceil(image.bytes / clusterBytes) : 0,
      contiguous: rule.contiguous,
      folders: choice.missingFolders.length,
      grow:
        entry !== undefined && growSlots > 0
          ? { folder: entry.folder, clusters: Math.ceil((growSlots * slotBytes) / clusterBytes) }
          : undefined,
    },
    runsOf(goesFirst, own),
  );
  if ('kind' in plan) return plan;

  const keep = filesToKeep(choice.removed, request.holder);
  const steps = stepsOf(request, choice, entry, keep);
  const base = {
    kind: 'tidy',
    steps,
    keep,
    removed: choice.removed.flatMap((top) => [...subtree(top, own)].map((node) => node.path)),
    writesImage: own === undefined,
  } as const;
  if (steps.length === 0) return { ...base, stages: [], unguard: undefined };

  const draft = new TidyDraft(volume, reader);
  const guardAt = guardOffset(request);
  const state = guardAt === undefined ? 0 : (draft.read(guardAt, 1)[0] ?? 0);
  if (guardAt !== undefined) draft.change(guardAt, Uint8Array.of(state | stateDirty));
  draft.end('guard');

  const imageSlots = encodeEntrySlots(choice.imageName, {
    attributes: attribute.archive,
    firstCluster: own === undefined ? firstOf(plan.image) : own.firstCluster,
    sizeBytes: image.bytes,
    atMs: request.atMs,
  });
  const fill = () => {
    if (own === undefined) {
      const runs: ByteRun[] = plan.image.map((run) => ({
        offsetBytes: draft.clusterBytes(run.firstCluster),
        lengthBytes: run.clusterCount * clusterBytes,
      }));
      draft.stages.push({ kind: 'image', name: 'image', runs, imageBytes: image.bytes });
    }
    fillFolders(draft, request, choice, plan, imageSlots);
    draft.end('folders');
  };
  if (plan.freedFirst === undefined) fill();
  moveAndRemove(draft, entry, plan, goesFirst);
  if (volume.dirty.fat) plan.fat.markClean();
  if (plan.freedFirst !== undefined) {
    draft.end('free', plan.freedFirst);
    fill();
  }
  draft.end('tables', plan.fat.takeWrites());

  if (entry !== undefined) enter(draft, request, choice, plan, entry, imageSlots);
  for (const top of goesLate) draft.deleteNode(top);
  draft.end('release');
  plan.fat.free(runsOf(goesLate, own));
  draft.end('tables', plan.fat.takeWrites());
  settle(draft, request, plan);
  const { stages } = draft;
  if (guardAt === undefined) return { ...base, stages, unguard: undefined };
  draft.change(guardAt, Uint8Array.of(state & ~stateDirty));
  const before = stages.length;
  draft.end('unguard');
  return { ...base, stages: stages.slice(0, before), unguard: stages[before] };
}

/** Entries that make room are copied before their old slots are given up, at once where one sector holds both. */
function moveAndRemove(
  draft: TidyDraft,
  entry: NewEntry | undefined,
  plan: ClusterPlan,
  goes: readonly CardNode[],
) {
  const later: (() => void)[] = [];
  for (const { occupant, toSlot } of entry?.place.moves ?? []) {
    if (entry === undefined) break;
    const { firstSlot, lastSlot } = occupant;
    const count = lastSlot - firstSlot + 1;
    draft.copySlots(entry.folder, plan.grown, firstSlot, toSlot, count);
    const giveUp = () => draft.deleteSlots(entry.folder, firstSlot, lastSlot);
    if (inOneSector(firstSlot, lastSlot, toSlot, toSlot + count - 1)) giveUp();
    else later.push(giveUp);
  }
  draft.end('move');
  for (const giveUp of later) giveUp();
  for (const node of goes) draft.deleteNode(node);
  draft.end('remove');
}

/** The image's new entry, or that of the folder that leads to it; its old one goes at once if one sector holds both. */
function enter(
  draft: TidyDraft,
  request: TidyRequest,
  choice: TidyChoice,
  plan: ClusterPlan,
  entry: NewEntry,
  imageSlots: Uint8Array,
): void {
  const { own } = choice;
  const intoFolder = choice.missingFolders.length > 0;
  const slots = intoFolder
    ? encodeEntrySlots(entry.name, {
        attributes: attribute.folder,
        firstCluster: plan.folders[0] ?? 0,
        sizeBytes: 0,
        atMs: request.atMs,
      })
    : imageSlots;
  const { slot } = entry.place;
  const last = slot + slots.length / slotBytes - 1;
  draft.putSlots(entry.folder, plan.grown, slot, slots);
  if (own === undefined) {
    draft.end('enter');
    return;
  }
  const ownGoesBySelf = ![...choice.removed].some((top) => leadsTo(top, own));
  const taken = Array.from({ length: last - slot + 1 }, (_, i) => slot + i);
  const giveUp = () =>
    draft.deleteSlots(own.parent, own.firstSlot, own.slot, own.parent === entry.folder ? taken : []);
  const together = own.parent === entry.folder && inOneSector(slot, last, own.firstSlot, own.slot);
  if (ownGoesBySelf && together) giveUp();
  draft.end('enter');
  if (ownGoesBySelf && !together) giveUp();
}
