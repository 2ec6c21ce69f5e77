// `prepare` as a person reads it: the plan, what was kept, removed, written and read back, findings, and the
// verdict last. Names from the card are made safe to print; long lists are cut here alone, never in the JSON.

import { isBeyondFresh, worstStop } from '../card/check/worst-stop.ts';
import { fileSystemTitles } from '../card/look/examined-card.ts';
import type { PlanStep } from '../card/plan-step.ts';
import { releaseKey } from '../manifest/catalogue.ts';
import type { KeptFile } from '../transfer/keep-files.ts';
import { type Look, renderFindings } from '../ui/finding-text.ts';
import { printable } from '../words/printable.ts';
import { formatBytes, formatSize } from '../words/size.ts';
import type { PrepareOrder } from './prepare-order.ts';
import type { Prepared } from './prepare-outcome.ts';

const mostListed = 12;
const nameWidth = 12;

const name = (path: string) => printable(path, 200);
const bytes = (count: number) => `${formatBytes(count)} bytes`;

function stepText(step: PlanStep): [string, string] {
  switch (step.do) {
    case 'create':
      return ['make', `a card image file of ${formatSize(step.sizeBytes)} (${bytes(step.sizeBytes)})`];
    case 'keep':
      return ['keep', `${name(step.path)}, ${bytes(step.bytes)}, copied to the workspace first`];
    case 'lose':
      return ['LOSE', step.path === '' ? step.why : `${name(step.path)}: ${step.why}`];
    case 'remove':
      return ['remove', step.files === 0 ? name(step.path) : `${name(step.path)}, ${filesText(step)}`];
    case 'lay-out': {
      const table = step.partitionTable === 'mbr' ? 'MBR' : 'no partition table';
      const clusters = `clusters of ${bytes(step.clusterBytes)}`;
      return ['lay out', `${table}, ${fileSystemTitles[step.fileSystem]}, ${clusters}`];
    }
    case 'make-folder':
      return ['make', `the folder ${name(step.path)}`];
    case 'move-entry':
      return ['move', `the entry of ${name(step.path)} further back in its folder`];
    case 'write':
      return ['write', `${name(step.path)}, ${bytes(step.bytes)}`];
    case 're-enter':
      return ['name', `${name(step.from)} becomes ${name(step.path)}`];
    case 'mark-active':
      return ['mark', 'the partition as active'];
    case 'mark-clean':
      return ['mark', 'the card as properly ejected'];
  }
}

function filesText({ files, bytes: count }: { files: number; bytes: number }): string {
  return files === 1 ? bytes(count) : `${formatBytes(files)} files, ${bytes(count)}`;
}

/** Many of one kind are cut: the first ones, then how many more. */
function cut(lines: readonly string[]): string[] {
  if (lines.length <= mostListed) return [...lines];
  const more = `  ${''.padEnd(nameWidth)}and ${formatBytes(lines.length - mostListed + 1)} more`;
  return [...lines.slice(0, mostListed - 1), more];
}

export function planLines(steps: readonly PlanStep[]): string[] {
  if (steps.length === 0) return ['plan: nothing, the card is ready as it is'];
  const lines: string[] = ['plan'];
  const kinds = [...new Set(steps.map((step) => step.do))];
  for (const kind of kinds) {
    const ofKind = steps.filter((step) => step.do === kind).map(stepText);
    lines.push(...cut(ofKind.map(([verb, what]) => `  ${verb.padEnd(nameWidth)}${what}`)));
  }
  return lines;
}

export function keptLines(kept: readonly KeptFile[]): string[] {
  if (kept.length === 0) return [];
  return ['kept', ...cut(kept.map(({ path, keptAt }) => `  ${name(path)} -> ${printable(keptAt, 1000)}`))];
}

/** What a person consents to, in one question. */
export function questionText(path: string, steps: readonly PlanStep[], fresh: boolean): string {
  const count = (kind: PlanStep['do']) => steps.filter((step) => step.do === kind).length;
  const [kept, removed] = [count('keep'), count('remove')];
  const keeps =
    kept === 0 ? '' : `${kept === 1 ? 'One file is' : `${formatBytes(kept)} files are`} kept first`;
  if (fresh) {
    const rest = kept === 0 ? 'Mind' : `${keeps}; for the rest`;
    return `${rest}: what is on this card will be lost. Lay ${printable(path, 200)} out anew?`;
  }
  const goes = removed === 1 ? 'One thing goes. ' : removed > 1 ? `${formatBytes(removed)} things go. ` : '';
  return `${keeps === '' ? '' : `${keeps}. `}${goes}Write to ${printable(path, 200)}?`;
}

function factLines(card: string, order: PrepareOrder): string[] {
  const { release, serial } = order.wanted;
  const forUnit = serial === undefined ? '' : `, the next one for ${printable(serial, 80)}`;
  const label = order.cardName?.isNew ? `  (write ${order.cardName.name} on its label)` : '';
  const called = order.cardName === undefined ? [] : [`name     ${order.cardName.name}${label}`];
  return [`card     ${printable(card, 1000)}`, ...called, `release  ${releaseKey(release)}${forUnit}`];
}

function doneLines({ kept, removed, written, readBack }: Prepared): string[] {
  const lines = keptLines(kept.files);
  if (removed.length > 0) lines.push(`removed: ${formatBytes(removed.length)} files and folders`);
  if (written !== null) lines.push(`written: ${name(written.path)}, ${bytes(written.bytes)}`);
  const remembered = readBack?.method === 'cached' ? ' (this may be what the computer remembers)' : '';
  if (readBack !== null) lines.push(`read back: sha256 ${readBack.sha256}${remembered}`);
  return lines;
}

function verdictLine(order: PrepareOrder, prepared: Prepared): string {
  const key = releaseKey(order.wanted.release);
  if (prepared.verdict === 'ready') {
    return `ready: every byte of the firmware file of ${key} was read back from the card and agrees`;
  }
  if (order.dryRun && prepared.steps.length > 0) {
    return 'dry run: nothing was changed; without --dry-run this plan is carried out';
  }
  const unproven = prepared.findings.find(({ code }) => code === 'not-read-from-card');
  if (unproven !== undefined && prepared.readBack?.method === 'cached') {
    return `not ready: the bytes agree, but nothing proves that they are on the card. ${unproven.next}`;
  }
  if (prepared.steps.length > 0) {
    return 'not ready: what was read back is not right. Run the same again; take another card if it stays so.';
  }
  const worst = worstStop(prepared.findings) ?? prepared.findings.at(-1);
  const canLayOut =
    order.newBytes === undefined && !order.fresh && (worst === undefined || !isBeyondFresh(worst));
  const unchanged = order.newBytes === undefined ? 'the card was not changed' : 'no card was made';
  const next = canLayOut ? 'Add --fresh to lay it out anew, or take another card.' : (worst?.next ?? '');
  return `not ready: ${unchanged}. ${next}`.trimEnd();
}

export function renderPrepared(look: Look, order: PrepareOrder, card: string, prepared: Prepared): string {
  const { steps, findings } = prepared;
  const isRefused = prepared.verdict !== 'ready' && steps.length === 0;
  const pull =
    prepared.mayPull === true
      ? ['Nothing uses the card any more: take it out now, before the computer mounts it again.']
      : order.drive !== undefined && prepared.mayPull === false
        ? ['Eject the card before you take it out.']
        : [];
  const blocks = [
    factLines(card, order),
    isRefused ? [] : planLines(steps),
    doneLines(prepared),
    findings.length === 0 ? [] : [renderFindings(findings, look)],
    pull,
    [verdictLine(order, prepared)],
  ];
  return blocks
    .filter((lines) => lines.length > 0)
    .map((lines) => lines.join('\n'))
    .join('\n\n');
}
