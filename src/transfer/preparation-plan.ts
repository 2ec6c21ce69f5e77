// What `prepare` will do to a card, decided before anything is asked or written: nothing, tidy it in its own
// format, lay it out anew, or refuse. Reads the card at most; decides from the look and the check.

import type { WriteStage } from '../card/card-write.ts';
import { type CheckedCard, withdrawnFinding } from '../card/check/check-card.ts';
import { checkRule } from '../card/check/check-rule.ts';
import { finding } from '../card/check/finding-codes.ts';
import { planCardName } from '../card/fat/card-name.ts';
import { type FreshGeometry, planFreshGeometry } from '../card/fresh/fresh-geometry.ts';
import { planFreshLayout } from '../card/fresh/fresh-layout.ts';
import type { ExaminedCard, FileNode } from '../card/look/examined-card.ts';
import { imagePath } from '../card/look/image-place.ts';
import type { PlanStep } from '../card/plan-step.ts';
import { planTidy } from '../card/tidy/tidy-plan.ts';
import type { TidyRefusal } from '../card/tidy/tidy-target.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { CardRule, Release } from '../manifest/schema.ts';
import type { BlockReader } from '../ports/blocks.ts';
import { Failure } from '../words/failure.ts';
import type { Finding } from '../words/finding.ts';
import { formatBytes } from '../words/size.ts';
import { keepBeforeLayout } from './keep-before-layout.ts';

export interface CardPlan {
  readonly kind: 'plan';
  readonly fresh: boolean;
  /** Empty where the card is ready as it is. */
  readonly steps: readonly PlanStep[];
  readonly keep: readonly FileNode[];
  readonly removed: readonly string[];
  readonly stages: readonly WriteStage[];
  readonly unguard: WriteStage | undefined;
  readonly writesImage: boolean;
  /** Which of `keep` holds the image's bytes, where they are taken from the card itself. */
  readonly ownImage: number | undefined;
}

export interface Refused {
  readonly kind: 'refused';
  readonly findings: readonly Finding[];
}

export interface PlanRequest {
  readonly release: Release;
  readonly rule: CardRule;
  readonly fresh: boolean;
  /** The image's bytes are taken from the card itself: they must be in safety before they are written again. */
  readonly sourceIsCard: boolean;
  /** Goes into the ids of a new layout; empty: the card has no name. */
  readonly cardName: string;
}

/** What is on the card now; absent for a card image file that does not exist yet. */
export interface CardAsFound {
  readonly card: ExaminedCard;
  readonly checked: CheckedCard;
  readonly reader: BlockReader;
}

const sectorBytes = 512;
/** These no new layout puts right. */
const beyondLayout = ['withdrawn', 'capacity-too-small', 'capacity-too-large'];

function atMsOf(release: Release): number {
  return Date.parse(`${release.issued}T00:00:00Z`);
}

/** The file whose bytes are the image's, wherever it lies. */
export function holderOf(checked: CheckedCard): FileNode | undefined {
  return checked.imageAgrees && checked.image !== null ? checked.image : undefined;
}

export function ruleImpossible(release: Release, why: string): Failure {
  return new Failure({
    code: 'rule-impossible',
    exit: 2,
    summary: `No card can carry ${releaseKey(release)} as its manifests have it: ${why}.`,
    seen: imagePath(release.image),
    where: releaseKey(release),
    next: 'Have the manifests of the product and the release put right.',
  });
}

function noRoom(release: Release, refusal: TidyRefusal & { kind: 'no-room' }): Finding {
  const summary = {
    folder: 'The folder for the firmware file is full, and cannot be made longer.',
    slots: 'The firmware file comes too late in its folder, and the entries before it cannot be moved.',
    run: 'There is no room on the card for the firmware file.',
    clusters: 'There is no room on the card for the firmware file.',
  }[refusal.what];
  return finding('no-room', {
    summary,
    expected: `${formatBytes(release.image.bytes)} bytes${refusal.what === 'run' ? ' in one piece' : ''}`,
    next: 'Run prepare with --fresh, or take another card.',
  });
}

function writtenByMount(rule: CardRule): Finding {
  const layout = rule.fileSystems.some((one) => one === 'fat16' || one === 'fat32');
  return finding('written-by-mount', {
    summary: 'exFAT is written through a system that has the card mounted, not to its sectors.',
    next: layout
      ? 'Mount the card and name it by where it is mounted; or lay it out anew as FAT with --fresh.'
      : 'Mount the card, and name it by where it is mounted.',
  });
}

export function planInOwnFormat(found: CardAsFound, request: PlanRequest): CardPlan | Refused {
  const { card, checked, reader } = found;
  const { release, rule } = request;
  const base = { kind: 'plan', fresh: false, ownImage: undefined } as const;
  const nothing = { stages: [], unguard: undefined, writesImage: false, keep: [], removed: [], steps: [] };
  if (checked.verdict === 'ready') return { ...base, ...nothing };
  if (checked.verdict !== 'fixable' || card.volume === null) {
    return { kind: 'refused', findings: checked.findings };
  }
  const holder = holderOf(checked);
  const { volume } = card;
  if (volume.kind === 'exfat')
    return { kind: 'refused', findings: [...checked.findings, writtenByMount(rule)] };
  const image = release.image;
  const plan = planTidy({ card, volume, rule, image, holder, atMs: atMsOf(release) }, reader);
  if (plan.kind === 'rule-impossible') throw ruleImpossible(release, plan.why);
  if (plan.kind === 'no-room')
    return { kind: 'refused', findings: [...checked.findings, noRoom(release, plan)] };
  if (plan.steps.length === 0) throw new Error(`a fixable card without a step: ${codesOf(checked)}`);
  if (!request.sourceIsCard || holder === undefined || !plan.writesImage) return { ...plan, ...base };
  return {
    ...plan,
    ...base,
    ownImage: 0,
    keep: [holder, ...plan.keep],
    steps: [keepStep(holder), ...plan.steps],
  };
}

const codesOf = ({ findings }: CheckedCard) => findings.map((one) => one.code).join(', ');

const keepStep = (file: FileNode): PlanStep => ({ do: 'keep', path: file.path, bytes: file.sizeBytes });

function geometryFor(request: PlanRequest, cardBytes: number, cardSectorBytes: number): FreshGeometry {
  const { release, rule } = request;
  const { image } = release;
  const folders = image.folder === '' ? 0 : image.folder.split('/').length;
  const answer = planFreshGeometry(rule, cardBytes, cardSectorBytes, { imageBytes: image.bytes, folders });
  if (answer.kind === 'fits') return answer.geometry;
  throw new Failure({
    code: 'no-layout-fits',
    exit: 2,
    summary: 'This version cannot lay a card of this size out as the card rule wants it.',
    seen: answer.why.join('; '),
    expected: `${rule.fileSystems.join(' or ')}, table ${rule.partitionTables.join(' or ')}`,
    where: request.release.product,
    next: 'Take another card, or format this one by the manual and prepare it without --fresh.',
  });
}

function freshPlan(request: PlanRequest, cardBytes: number, cardSectorBytes: number) {
  const { release, rule } = request;
  const { image } = release;
  const name = planCardName(image.name, rule.shortNameOnly, new Set());
  if (name === undefined) throw ruleImpossible(release, 'its name is no plain 8.3 name');
  const lastSlot =
    (image.folder === '' ? 0 : 2) + (name.long === undefined ? 1 : 1 + Math.ceil(name.long.length / 13));
  if (rule.rootSlots > 0 && lastSlot > rule.rootSlots) {
    throw ruleImpossible(release, `its entry cannot be among the first ${rule.rootSlots} of a folder`);
  }
  const geometry = geometryFor(request, cardBytes, cardSectorBytes);
  const layout = planFreshLayout({ geometry, rule, release, cardBytes, cardName: request.cardName });
  const steps: PlanStep[] = [
    {
      do: 'lay-out',
      partitionTable: geometry.partitionTable,
      fileSystem: geometry.fileSystem,
      clusterBytes: geometry.clusterSectors * geometry.sectorBytes,
    },
  ];
  const parts = image.folder === '' ? [] : image.folder.split('/');
  parts.forEach((_, depth) => {
    steps.push({ do: 'make-folder', path: parts.slice(0, depth + 1).join('/') });
  });
  steps.push({ do: 'write', path: imagePath(image), bytes: image.bytes });
  return { steps, stages: layout.stages, unguard: layout.unguard };
}

/** A card that is there, laid out anew. */
export function planFresh(found: CardAsFound, request: PlanRequest): CardPlan | Refused {
  const { card, checked, reader } = found;
  const stops = checked.findings.filter((one) => beyondLayout.includes(one.code));
  if (stops.length > 0) return { kind: 'refused', findings: stops };
  const holder = holderOf(checked);
  const { keep, lost } = keepBeforeLayout(card, reader, request.sourceIsCard ? undefined : holder);
  const ownImage = keep.findIndex((file) => file.path === holder?.path && file.slot === holder.slot);
  const plan = freshPlan(request, card.sizeBytes, card.sectorBytes);
  return {
    kind: 'plan',
    fresh: true,
    steps: [...keep.map(keepStep), ...lost, ...plan.steps],
    keep,
    removed: (card.volume?.nodes ?? []).map((node) => node.path),
    stages: plan.stages,
    unguard: plan.unguard,
    writesImage: true,
    ownImage: ownImage < 0 ? undefined : ownImage,
  };
}

/** A card image file that does not exist yet. */
export function planNewCard(request: PlanRequest, sizeBytes: number): CardPlan | Refused {
  const { release, rule } = request;
  const blank: ExaminedCard = {
    sizeBytes,
    sectorBytes,
    partitionTable: 'none',
    diskSignature: null,
    partitions: [],
    fileSystem: null,
    volume: null,
    findings: [],
  };
  const capacity = checkRule(blank, rule).filter((one) => beyondLayout.includes(one.code));
  const withdrawn = release.withdrawn === undefined ? [] : [withdrawnFinding(release)];
  const stops = [...capacity, ...withdrawn];
  if (stops.length > 0) return { kind: 'refused', findings: stops };
  const plan = freshPlan(request, sizeBytes, sectorBytes);
  return {
    kind: 'plan',
    fresh: true,
    steps: [{ do: 'create', sizeBytes }, ...plan.steps],
    keep: [],
    removed: [],
    stages: plan.stages,
    unguard: plan.unguard,
    writesImage: true,
    ownImage: undefined,
  };
}
