// Which clusters the image and new folders get. First beside everything that is on the card; where that is too
// narrow, in what the removed files leave. Changes the draft of the FAT accordingly; writes nothing.

import type { CardWrite } from '../card-write.ts';
import type { FatVolume, FolderNode, Run } from '../look/examined-card.ts';
import { FatDraft } from './fat-draft.ts';
import type { TidyRefusal } from './tidy-target.ts';

export interface ClusterNeeds {
  /** 0 where the image's bytes stay where they are. */
  readonly image: number;
  readonly contiguous: boolean;
  readonly folders: number;
  /** A folder that needs more clusters than it has. */
  readonly grow: { readonly folder: FolderNode; readonly clusters: number } | undefined;
}

export interface ClusterPlan {
  readonly fat: FatDraft;
  readonly image: readonly Run[];
  readonly folders: readonly number[];
  readonly grown: readonly Run[];
  /** Where what goes must go first: the writes that free its clusters. */
  readonly freedFirst: readonly CardWrite[] | undefined;
}

type Found = Omit<ClusterPlan, 'fat' | 'freedFirst'>;

function take(fat: FatDraft, needs: ClusterNeeds): Found | undefined {
  const image = needs.image === 0 ? [] : findImage(fat, needs);
  if (image === undefined) return undefined;
  fat.chain(image);
  return takeFolders(fat, needs, image);
}

/** In one run wherever there is one: simple loaders read nothing else. */
function findImage(fat: FatDraft, needs: ClusterNeeds): Run[] | undefined {
  const run = fat.findRun(needs.image);
  if (run !== undefined) return [run];
  return needs.contiguous ? undefined : fat.findClusters(needs.image);
}

function takeFolders(fat: FatDraft, needs: ClusterNeeds, image: readonly Run[]): Found | undefined {
  const folders: number[] = [];
  for (let i = 0; i < needs.folders; i++) {
    const run = fat.findRun(1);
    if (run === undefined) return undefined;
    fat.chain([run]);
    folders.push(run.firstCluster);
  }
  if (needs.grow === undefined) return { image, folders, grown: [] };
  const grown = fat.findClusters(needs.grow.clusters);
  const last = needs.grow.folder.runs.at(-1);
  if (grown === undefined || last === undefined) return undefined;
  fat.chain(grown, last.firstCluster + last.clusterCount - 1);
  return { image, folders, grown };
}

/** `freed`: what the files leave that go before the image is entered. */
export function planClusters(
  volume: FatVolume,
  needs: ClusterNeeds,
  freed: readonly Run[],
): ClusterPlan | TidyRefusal {
  const beside = new FatDraft(volume);
  const roomy = take(beside, needs);
  if (roomy !== undefined) {
    beside.free(freed);
    return { fat: beside, ...roomy, freedFirst: undefined };
  }
  const after = new FatDraft(volume);
  after.free(freed);
  const freedFirst = after.takeWrites();
  const enough = after.freeClusters >= needs.image + needs.folders + (needs.grow?.clusters ?? 0);
  const tight = take(after, needs);
  if (tight === undefined) return { kind: 'no-room', what: enough && needs.contiguous ? 'run' : 'clusters' };
  return { fat: after, ...tight, freedFirst };
}
